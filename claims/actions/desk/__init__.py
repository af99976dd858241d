"""Acts: reminders that people asked for."""
