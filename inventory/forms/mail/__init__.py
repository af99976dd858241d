"""Forms: mail that leaves the company."""
