"""The secret in a client's link: only its hash is kept, so nobody can read it from the books."""

from hashlib import sha256

SECRET_BYTES = 32
"""256 random bits: no number of tries finds one, so a plain hash guards them and tries need not
be counted. (Counting them by address would let one guesser lock clients out who share it.)"""


def hash_secret(secret: str) -> str:
    """Return the SHA-256 of a secret in hexadecimal digits."""
    return sha256(secret.encode()).hexdigest()
