"""Forms: trucks, freight bills, crates and machines as they come in."""
