"""Forms: crates and their types."""
