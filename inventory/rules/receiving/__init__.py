"""Rules: what is announced, and what arrives."""
