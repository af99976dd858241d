"""Forms: claims in the books."""
