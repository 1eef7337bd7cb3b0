"""The arithmetic of the queue: a dispatcher over open days, draws of what can happen, a search."""
