"""Pages: photos and documents."""
