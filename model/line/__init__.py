"""The Line: one typed line is one edit. A grammar, its compilation to edits, its read-back and its completions.

Everything here is text and plain data; the window shows it, the command line and files use the same references.
"""
