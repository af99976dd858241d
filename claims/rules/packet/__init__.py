"""What a claim packet says and lists."""
