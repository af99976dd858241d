"""Forms: people, locations, carriers and suppliers."""
