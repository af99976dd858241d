"""Pages: returns of empties."""
