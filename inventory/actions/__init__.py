"""Every write of the ground floor, one verb each."""
