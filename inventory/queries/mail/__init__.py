"""Reads: mail that leaves the company."""
