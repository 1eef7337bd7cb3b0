"""Papers for clients: what they hold, how they are printed, frozen and kept."""
