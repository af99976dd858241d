"""Acts: mail that leaves the company."""
