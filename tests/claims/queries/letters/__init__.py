"""Tests of what letters read from the record."""
