"""What-if questions about deadlines and damages, and the list of all subjects."""
