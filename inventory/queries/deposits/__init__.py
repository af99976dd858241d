"""Reads: crate deposits."""
