"""Acts: the claim and its lines."""
