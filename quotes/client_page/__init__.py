"""The client's page at a secret address, and answers given there."""
