"""Reads: crates and their types."""
