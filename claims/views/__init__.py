"""HTTP in, one call, HTTP out."""
