"""Rules: claims in the books."""
