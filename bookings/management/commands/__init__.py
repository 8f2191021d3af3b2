"""One command a file; each shares its questions and actions with the pages."""
