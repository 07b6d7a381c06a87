"""The five views of one plant; each turns the plant at a place into groups for the canvas."""
