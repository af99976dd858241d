"""Pages: history pages, search and the first page."""
