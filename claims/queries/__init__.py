"""Every read of the upper floor, fully joined and explicitly ordered."""
