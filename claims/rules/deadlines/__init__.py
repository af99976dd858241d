"""Dated duties, counted from the regime records."""
