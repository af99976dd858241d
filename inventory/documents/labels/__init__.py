"""PDF drawing: crate labels."""
