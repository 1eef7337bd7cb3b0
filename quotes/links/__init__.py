"""Links that were given to clients, and what clients said there."""
