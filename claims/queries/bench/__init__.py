"""Reads: inspection, findings and setup."""
