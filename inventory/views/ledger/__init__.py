"""Pages: the ledger and the books."""
