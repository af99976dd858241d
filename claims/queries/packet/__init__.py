"""Reads: the claim file."""
