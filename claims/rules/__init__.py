"""Pure rules of the upper floor."""
