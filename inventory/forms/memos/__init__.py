"""Forms: credit memos, short-paid credits and statements."""
