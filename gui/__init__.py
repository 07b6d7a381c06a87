"""The window: everything a person sees and touches. The only package that may import Qt."""
