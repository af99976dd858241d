"""Tests of the forms of letters."""
