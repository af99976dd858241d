"""What arrived, what it came in, and whose money is tied up in it."""
