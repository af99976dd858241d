"""Acts: photos and documents."""
