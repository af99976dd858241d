"""Pages: the claim file."""
