"""Papers and links sent to clients, and what was sent kept."""
