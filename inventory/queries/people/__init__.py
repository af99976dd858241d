"""Reads: people, locations, carriers and suppliers."""
