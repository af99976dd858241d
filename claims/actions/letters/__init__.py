"""Acts: notices."""
