"""Forms: reminders that people asked for."""
