"""Reads: returns of empties."""
