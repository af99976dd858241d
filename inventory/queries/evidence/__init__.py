"""Reads: photos and documents."""
