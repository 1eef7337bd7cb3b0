"""Papers of the workshop: plain data in, PDF out."""
