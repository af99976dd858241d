"""What-if questions answered from one JSON object, without a database."""
