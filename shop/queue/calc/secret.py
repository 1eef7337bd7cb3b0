"""The secret in a calendar's address: only its hash is kept."""

from hashlib import sha256


def hash_secret(secret: str) -> str:
    """Return the SHA-256 of a secret in hexadecimal digits."""
    return sha256(secret.encode()).hexdigest()
