"""When a truck of empties pays."""
