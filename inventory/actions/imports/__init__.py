"""Acts: taking in a list from a file, and undoing that."""
