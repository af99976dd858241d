"""Forms: lists from a file, previewed row by row."""
