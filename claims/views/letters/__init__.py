"""Pages: notices."""
