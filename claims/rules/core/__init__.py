"""Vocabulary and event sentences of this floor."""
