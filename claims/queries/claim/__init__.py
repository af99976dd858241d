"""Reads: the claim and its lines."""
