"""One form for each act."""
