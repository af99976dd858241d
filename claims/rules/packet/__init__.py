"""What a claim file says and lists."""
