"""Pages: the claim and its lines."""
