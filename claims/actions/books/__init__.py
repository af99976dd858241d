"""Writes: claims in the books."""
