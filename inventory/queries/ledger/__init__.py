"""Reads: the ledger and the books."""
