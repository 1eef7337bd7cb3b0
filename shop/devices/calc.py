"""What a device at the bench may ask of the API."""

import re

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
