"""Acts: inspection, findings and setup."""
