"""Reads: the claim packet."""
