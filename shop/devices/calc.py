"""Pairing codes: short enough to type with one thumb, without letters that look alike."""

import hashlib

ALPHABET = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
LENGTH = 8
_MISREAD = str.maketrans({"0": "Q", "O": "Q", "1": "J", "I": "J", "L": "J"})
"""None of these is in a code; each becomes the letter that it was most likely read for."""


def written(code: str) -> str:
    """Return `code` as it is shown, in two groups: `7K4Q-2MXD`."""
    return f"{code[: LENGTH // 2]}-{code[LENGTH // 2 :]}"


def plain_code(typed: str) -> str:
    """Return what was typed as a code: capitals, without spaces, hyphens or look-alikes."""
    kept = "".join(letter for letter in typed.upper() if letter.isalnum())
    return kept.translate(_MISREAD)


def digest(code: str) -> str:
    """Return what is kept of a code, which can't be turned back into it."""
    return hashlib.sha256(plain_code(code).encode()).hexdigest()
