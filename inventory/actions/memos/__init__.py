"""Acts: credit memos, differences and statements."""
