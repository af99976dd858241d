"""Pages: bringing in lists from files."""
