"""What the books tell the queue, and what it said and was promised."""
