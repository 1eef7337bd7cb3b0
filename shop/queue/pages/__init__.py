"""Pages of the queue."""
