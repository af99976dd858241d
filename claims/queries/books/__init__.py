"""Reads: claims in the books."""
