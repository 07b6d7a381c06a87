"""Exact routes inside an enclosure: straight tangents and true arcs, in millimetres."""
