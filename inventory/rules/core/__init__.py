"""Vocabulary, roles, event sentences and the text and sheets every subject uses."""
