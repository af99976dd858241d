"""Pages: credit memos, differences and statements."""
