"""Plants on disk: the only part of the model that touches files."""
