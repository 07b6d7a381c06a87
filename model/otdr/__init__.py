"""OTDR readings and trace files: from a shown distance to a printed mark, and from a file to the plant's own joints."""
