"""Pages: mail that leaves the company."""
