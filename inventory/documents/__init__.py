"""Page styles, fonts, the one text function, tables and pictures of a document."""
