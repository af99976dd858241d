"""Pages: claims in the books."""
