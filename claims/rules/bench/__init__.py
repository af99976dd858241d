"""Checklists, cautions, causes and holds at the bench."""
