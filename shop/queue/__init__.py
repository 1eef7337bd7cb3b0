"""The queue: when every build can be ready, with what chance, and in which order to work."""
