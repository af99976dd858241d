"""Tests of the actions on letters."""
