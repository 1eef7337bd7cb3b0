"""Twenty years of books beside the first week: every page and list, its time, size and questions.

`python3 manage.py bench years` grows the demo on a database that is thrown away, walks it before
and after, and sets what it found beside the goals. Reasons for what may be more stand in `LARGER`.
"""

import time
from collections.abc import Iterable
from dataclasses import dataclass

from django.core.management import call_command
from django.utils import timezone

from tests.bench.years.phone import PHONE, first_sync
from tests.bench.years.walk import COPIES, KEYS, NARROWED, Visit, visits

MILLISECONDS, KILOBYTES, QUERIES = 150, 150, 60
SYNC_KILOBYTES = 300
SLOWEST = 25
JOURNAL = "every entry there is, sent as it is written"
PAPER = "a paper is laid out"
QUEUE = "each of sixty open builds is read, and the queue run once for each state of the books"
QUEUE_AGAIN = "the queue is run again with and without the quoted builds"
RISK = "sixty thousand runs are drawn"
DRYING = "it is worked out when each piece that dries will be ready"
YEAR_END = "every line that the accounts rest on is added up from the journal, and shown"
YEAR = "every close-out and invoice of the year is read as it was kept"
KEPT_ROWS = "every row that a phone keeps, told once; packed in its first sync"
LARGER = {
    "stock_journal_file": JOURNAL,
    "invoices_file": "every invoice there is, sent as it is written",
    "api/v1/journal/table/": JOURNAL,
    **dict.fromkeys(("quote_risk", "api_quote_risk"), RISK),
    **dict.fromkeys(("queue", "queue_today", "queue_buying", "queue_month"), QUEUE),
    **dict.fromkeys(("api_queue", "api_queue_today", "api_queue_buying"), QUEUE),
    "api_build_forecast": QUEUE,
    **dict.fromkeys(("quote_queue", "queue_picture", "quote-if-accepted"), QUEUE_AGAIN),
    **dict.fromkeys(("quote_accept", "quote_hold", "build_piece", "api_row_proposals"), DRYING),
    "api/v1/build-lines/<int:pk>/proposals/": DRYING,
    "api/v1/template-lines/<int:pk>/proposals/": DRYING,
    **dict.fromkeys(("year_end", "year_end_file", "api_year_end", "api_year_end_tables"), YEAR_END),
    **dict.fromkeys(("year", "year_xlsx", "api_year", "api_year_tables"), YEAR),
    **dict.fromkeys(NARROWED, KEPT_ROWS),
    "to_buy": "each shortage opens to all builds that it is for",
    "build-list": "every build comes with all its stages and lines",
    "api/v1/stock-value/": "every material on the shelf, with what it is worth",
    "template_hours": "each figure opens to the twenty past builds that count most",
}
"""Addresses whose answers may be slower or larger, by name, with the reason; papers too."""


def reason_of(found: Visit) -> str:
    """Return why an answer may be slower or larger than the goals, an empty text for no reason."""
    return LARGER.get(found.name, PAPER if found.is_paper else "")


@dataclass(frozen=True, slots=True)
class Grown:
    """One address after twenty years, beside the same in the demo where it was there."""

    now: Visit
    before: Visit | None

    @property
    def misses(self) -> list[str]:
        """Return which goals the address misses; of a phone's first sync only its size counts."""
        is_late = self.now.seconds * 1000 > MILLISECONDS and self.now.name != PHONE
        return [*beyond(self.now), *(["time"] if is_late else [])]

    @property
    def is_missing(self) -> bool:
        """Whether it misses a goal without a reason, or can't be answered at all."""
        return bool(self.misses) and (self.now.is_fault or not reason_of(self.now))


def beyond(found: Visit) -> list[str]:
    """Return which goals an answer misses on any machine: those of its size and questions."""
    is_sync = found.name == PHONE
    most = SYNC_KILOBYTES if is_sync else KILOBYTES
    wrong = [
        (found.is_fault, f"error {found.status}"),
        (found.bytes > most * 1000, "size"),
        (found.queries > QUERIES and not is_sync, "queries"),
    ]
    return [word for missed, word in wrong if missed]


def bench() -> list[Grown]:
    from quotes.demo.services.start import Days
    from tests.bench.stock import a_desk
    from tests.bench.years.orders import deliver_orders
    from tests.bench.years.shop import grow, sizes

    now = timezone.now()
    today = timezone.localdate(now)
    call_command("load_demo", verbosity=0)
    deliver_orders(Days(now, today))
    desk = a_desk()
    desk.raise_request_exception = False  # what can't be answered is told beside the rest
    before = {one.path: one for one in (*visits(desk, KEYS), first_sync(desk, today))}
    began = time.perf_counter()
    grow()
    print(f"grown in {time.perf_counter() - began:.0f} s to {sizes()}", flush=True)
    found = (*visits(desk, KEYS, COPIES), first_sync(desk, today))
    return [Grown(one, before.get(one.path)) for one in found]


def table(rows: Iterable[Grown]) -> str:
    """Set the slowest and whatever misses a goal as a table, and say how many meet all."""
    rows = sorted(rows, key=lambda row: -row.now.seconds)
    shown = [row for place, row in enumerate(rows) if place < SLOWEST or row.misses]
    missing = [row for row in rows if row.is_missing]
    head = (
        f"{'':<58}{'time':>11}{'at first':>11}{'demo':>11}{'size':>11}{'demo':>11}{'queries':>9}"
        "  misses"
    )
    last = (
        f"{len(rows)} answers, {len(missing)} beyond {MILLISECONDS} ms, {KILOBYTES} kB or "
        f"{QUERIES} queries without a reason."
    )
    return "\n".join([head, *map(_line, shown), last])


def _line(row: Grown) -> str:
    then = row.before
    demo = f"{then.seconds * 1000:.0f} ms" if then else ""
    first = f"{row.now.first * 1000:.0f} ms"
    size = f"{then.bytes / 1000:.0f} kB" if then else ""
    why = reason_of(row.now)
    missed = ", ".join(row.misses) + (f" ({why})" if why and row.misses else "")
    return (
        f"{row.now.path:<58}{row.now.seconds * 1000:>8.0f} ms{first:>11}{demo:>11}"
        f"{row.now.bytes / 1000:>8.0f} kB{size:>11}{row.now.queries:>9}  {missed}"
    )
