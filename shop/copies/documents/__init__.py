"""A copy of the books as one file, plain or locked with a passphrase."""
