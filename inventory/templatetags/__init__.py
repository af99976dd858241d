"""Tags and filters of the house's templates."""
