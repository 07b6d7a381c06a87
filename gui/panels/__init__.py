"""What stands round the canvas: parts, details, findings, limits, the Line and its read-back, notices, start page."""
