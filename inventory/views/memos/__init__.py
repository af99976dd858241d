"""Pages: credit memos, short-paid credits and statements."""
