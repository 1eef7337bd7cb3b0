"""Phones and machines that use the API, and the bench page they open."""
