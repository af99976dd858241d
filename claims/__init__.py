"""What is wrong with it, by when it must be said, who pays and how much."""
