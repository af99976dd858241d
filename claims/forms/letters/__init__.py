"""Forms: letters about a claim."""
