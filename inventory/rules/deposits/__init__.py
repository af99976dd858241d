"""Deposit terms, the credit they earn by day, and the postings."""
