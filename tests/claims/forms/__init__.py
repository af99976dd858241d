"""Tests of the forms of claims."""
