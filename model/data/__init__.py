"""Catalogue of generic part types, as TOML."""
