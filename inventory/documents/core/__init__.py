"""PDF drawing: what every drawer of this room uses."""
