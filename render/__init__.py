"""Turns the model into drawings: data first, then SVG, tables and the command line."""
