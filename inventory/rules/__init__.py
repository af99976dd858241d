"""Pure rules of the ground floor."""
