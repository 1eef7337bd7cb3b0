"""Pairing codes, short enough to type with one thumb; and what a device at the bench may ask."""

import hashlib
import re

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


_BENCH_READS = (
    "builds", "clock", "devices", "draws", "entries", "lots", "materials", "pieces", "places",
    "promises", "queue/today", "readings", "templates", "time-entries",
)  # fmt: skip
_BENCH_WRITES = (
    "builds/*/draws", "builds/*/notes", "builds/*/scraps", "clock/**", "devices/hello",
    "devices/units", "draws/*/return", "entries/*/correct", "entries/*/return", "lots/*/cut",
    "lots/*/judge", "lots/*/moisture", "lots/*/photos", "lots/*/split", "materials/*/count",
    "materials/*/draw", "materials/*/scrap", "pieces/*/weighings", "promises",
    "promises/*/release", "readings", "time-entries", "time-entries/*", "time-entries/line",
)  # fmt: skip
"""Below the API's root; `*` is one step of the way and `**` any."""


def _pattern(ways: tuple[str, ...], end: str) -> re.Pattern[str]:
    steps = "|".join(re.escape(way).replace(r"\*\*", ".+").replace(r"\*", "[^/]+") for way in ways)
    return re.compile(f"(?:{steps}){end}")


_READS, _WRITES = _pattern(_BENCH_READS, "/.*"), _pattern(_BENCH_WRITES, "/")


def is_bench_work(method: str, way: str) -> bool:
    """Return whether a device with the rights of the bench may ask `method` of `way`.

    `way` is the path below the API's root, such as `clock/stop/`.
    """
    allowed = _READS if method in ("GET", "HEAD", "OPTIONS") else _WRITES
    return bool(allowed.fullmatch(way))
