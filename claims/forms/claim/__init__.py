"""Forms: the claim and its lines."""
