"""Evidence: sealing and verification."""
