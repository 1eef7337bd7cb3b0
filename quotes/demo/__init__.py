"""The demo workshop's clients, quotes and books."""
