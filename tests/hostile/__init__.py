"""Hostile pages: what a page may try, by attack; none may be silent, and none may do harm."""
