"""Template tags of the workshop."""
