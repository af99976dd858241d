"""Forms: the ledger and the books."""
