"""Pages: crate deposits."""
