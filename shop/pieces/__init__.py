"""Which piece on the shelf would do for a line."""
