"""Notices and packaging letters."""
