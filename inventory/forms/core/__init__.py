"""Forms: what every drawer of this room uses."""
