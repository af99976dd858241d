"""Evidence: backup and restore."""
