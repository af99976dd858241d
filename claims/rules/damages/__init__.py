"""The measure of damages and the limit of liability."""
