"""Acts: people, locations, carriers and suppliers."""
