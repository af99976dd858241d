"""Forms: returns of empties."""
