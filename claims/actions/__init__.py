"""Every write of the upper floor, one verb each."""
