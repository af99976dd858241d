"""SQLite with one writer at a time; Django loads ``config.sqlite.base``."""
