"""The dyno: pulls read, corrected to a standard's air, and compared by their spread."""
