"""Pages of claims in the books."""
