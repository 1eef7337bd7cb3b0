"""The stock journal: posting, reversing, issuing, valuing, and the locks all of it needs."""
