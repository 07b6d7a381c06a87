"""The canvas: the same drawings as the sheets, painted, picked and moved."""
