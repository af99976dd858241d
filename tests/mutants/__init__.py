"""Small mistakes written into the rules on purpose, to see that a test finds each."""
