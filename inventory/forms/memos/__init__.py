"""Forms: credit memos, differences and statements."""
