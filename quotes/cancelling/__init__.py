"""Cancelling a commission: what it came to so far, what is settled, and its papers."""
