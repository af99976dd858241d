"""Acts: crates and their types."""
