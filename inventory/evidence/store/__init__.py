"""Evidence: originals on disk."""
