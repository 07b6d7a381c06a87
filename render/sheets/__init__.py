"""One module per sheet; each turns a plant into a Drawing."""
