"""Acts: the claim file."""
