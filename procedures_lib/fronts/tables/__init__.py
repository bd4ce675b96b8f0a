"""Views as tables and in words, the same for a page, a card, a file and a terminal."""
