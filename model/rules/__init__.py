"""Rules: what can be wrong with a plant, each judged by a small function with its limit and where that comes from."""
