"""Codes that a person types: short, without look-alikes, kept as digests."""

import hashlib

ALPHABET = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
_MISREAD = str.maketrans({"0": "Q", "O": "Q", "1": "J", "I": "J", "L": "J"})
"""None of these is in a code; each becomes the letter that it was most likely read for."""


def written(code: str, between: str = "-") -> str:
    """Return `code` as it is shown, in groups of four: `7K4Q-2MXD`."""
    return between.join(code[at : at + 4] for at in range(0, len(code), 4))


def plain_code(typed: str) -> str:
    """Return what was typed as a code: capitals, without spaces, hyphens or look-alikes."""
    kept = "".join(letter for letter in typed.upper() if letter.isalnum())
    return kept.translate(_MISREAD)


def digest(code: str) -> str:
    """Return what is kept of a code, which can't be turned back into it."""
    return hashlib.sha256(plain_code(code).encode()).hexdigest()
