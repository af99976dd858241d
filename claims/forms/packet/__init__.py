"""Forms: the claim file."""
