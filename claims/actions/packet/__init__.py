"""Acts: the claim packet."""
