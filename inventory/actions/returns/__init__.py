"""Acts: returns of empties."""
