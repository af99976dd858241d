"""Reads: notices."""
