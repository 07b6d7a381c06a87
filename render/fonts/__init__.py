"""The two faces every sheet is lettered in, shipped with their licence, and a table of their advances.

The table lets the product measure text without any font library; ``table.py`` makes it from the faces.
"""
