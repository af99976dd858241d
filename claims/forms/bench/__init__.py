"""Forms: inspection, findings and setup."""
