"""Reads: lists that were brought in from files."""
