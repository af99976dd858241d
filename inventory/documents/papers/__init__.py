"""PDF drawing: return papers and statements."""
