"""Taking over: a shop's sheets and step lists, read as they are, into drafts of pages."""
