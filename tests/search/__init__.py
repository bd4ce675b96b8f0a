"""The search index: terms, rows, index, files."""
