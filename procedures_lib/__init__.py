"""Install procedures for performance parts: read, checked, and turned into tables and drawings."""
