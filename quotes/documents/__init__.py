"""Papers for clients: plain data in, PDF out."""
