"""Publishing: the old site or the new one in its folder, and nothing of others lost."""
