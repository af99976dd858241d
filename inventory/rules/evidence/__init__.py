"""The chain of events, its proofs, row images and remarks on photos."""
