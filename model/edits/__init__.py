"""The edits: everything a person can do to a plant, each a small frozen value that checks before it writes.

An edit names entities by id and never by object, so it can be logged, replayed and proposed. Its ``name`` is what the
undo button says.
"""
