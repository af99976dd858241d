"""Pages: inspection, findings and setup."""
