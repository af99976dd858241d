"""Claims in the books."""
