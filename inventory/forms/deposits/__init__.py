"""Forms: crate deposits."""
