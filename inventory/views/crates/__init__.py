"""Pages: crates and their types."""
