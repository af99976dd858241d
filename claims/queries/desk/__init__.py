"""Reads: history pages, search and the way in."""
