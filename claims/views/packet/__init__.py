"""Pages: the claim packet."""
