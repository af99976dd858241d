"""Lists that a new house brings in from a file: which there are, and their rows."""
