"""Whole paths through the house, one step after the other."""
