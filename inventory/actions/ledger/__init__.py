"""Acts: the ledger and the books."""
