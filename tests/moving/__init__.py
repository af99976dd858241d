"""Tests of moving a house from one database to another."""
