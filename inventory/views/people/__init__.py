"""Pages: people, locations, carriers and suppliers."""
