"""The rules of claims in the books."""
