"""Forms: photos and documents."""
