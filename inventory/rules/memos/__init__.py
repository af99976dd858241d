"""A supplier's credit memos, differences and statements."""
