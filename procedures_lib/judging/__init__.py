"""What is wrong, what has changed, whether a record is right, what can be rewritten."""
