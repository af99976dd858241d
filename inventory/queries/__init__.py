"""Every read of the ground floor."""
