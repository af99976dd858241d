"""Reads: dated duties."""
