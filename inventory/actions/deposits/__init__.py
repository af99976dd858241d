"""Acts: crate deposits."""
