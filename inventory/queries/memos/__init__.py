"""Reads: credit memos, differences and statements."""
