"""Twenty years of books beside the first week: every page and list, its time, size and questions.

`python3 manage.py bench years` grows the demo on a database that is thrown away, walks it before
and after, and sets what it found beside the goals. Reasons for what may be more stand in `LARGER`.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from django.core.management import call_command
from django.utils import timezone

from tests.bench.years.walk import COPIES, KEYS, Visit, visits

MILLISECONDS, KILOBYTES, QUERIES = 150, 150, 60
SLOWEST = 25
LARGER = {
    "stock_journal_file": "every entry there is, sent as it is written",
    "api/v1/journal/table/": "every entry there is, sent as it is written",
    "job_card_pdf": "a paper is laid out",
    "stringset-sleeve": "a paper is laid out",
    "template_hours_paper": "a paper is laid out",
    "quote_risk": "ten thousand runs are drawn",
    "quote_queue": "the queue is run again with the quoted build last, and with it first",
    "queue_picture": "the queue is run again for up to five sent quotes",
    "quote-if-accepted": "the queue is run again with the quoted build",
    "template_hours": "each figure opens to the twenty past builds that count most",
}
"""Addresses whose answers may be slower or larger, by name, with the reason."""


@dataclass(frozen=True, slots=True)
class Grown:
    """One address after twenty years, beside the same in the demo where it was there."""

    now: Visit
    before: Visit | None

    @property
    def misses(self) -> list[str]:
        """Return which goals the address misses."""
        found = [
            (self.now.seconds * 1000 > MILLISECONDS, "time"),
            (self.now.bytes > KILOBYTES * 1000, "size"),
            (self.now.queries > QUERIES, "queries"),
        ]
        return [word for missed, word in found if missed]


def bench() -> list[Grown]:
    from quotes.demo.services.start import Days
    from tests.bench.stock import a_desk
    from tests.bench.years.orders import deliver_orders
    from tests.bench.years.shop import grow

    now = timezone.now()
    call_command("load_demo", verbosity=0)
    deliver_orders(Days(now, timezone.localdate(now)))
    desk = a_desk()
    before = {one.path: one for one in visits(desk, KEYS)}
    grow()
    return [Grown(one, before.get(one.path)) for one in visits(desk, KEYS, COPIES)]


def table(rows: Iterable[Grown]) -> str:
    """Set the slowest and whatever misses a goal as a table, and say how many meet all."""
    rows = sorted(rows, key=lambda row: -row.now.seconds)
    shown = [row for place, row in enumerate(rows) if place < SLOWEST or row.misses]
    missing = [row for row in rows if row.misses and row.now.name not in LARGER]
    head = f"{'':<58}{'time':>11}{'demo':>11}{'size':>11}{'queries':>9}  misses"
    last = (
        f"{len(rows)} answers, {len(missing)} beyond {MILLISECONDS} ms, {KILOBYTES} kB or "
        f"{QUERIES} queries without a reason."
    )
    return "\n".join([head, *map(_line, shown), last])


def _line(row: Grown) -> str:
    demo = f"{row.before.seconds * 1000:.0f} ms" if row.before else ""
    why = LARGER.get(row.now.name, "")
    missed = ", ".join(row.misses) + (f" ({why})" if why and row.misses else "")
    return (
        f"{row.now.path:<58}{row.now.seconds * 1000:>8.0f} ms{demo:>11}"
        f"{row.now.bytes / 1000:>8.0f} kB{row.now.queries:>9}  {missed}"
    )
