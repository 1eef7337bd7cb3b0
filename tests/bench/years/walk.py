"""Walks every address that can be read, and says how long, how large and how many questions."""

import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from django.core.signals import request_finished
from django.db import close_old_connections, connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.bench.years.rows import STRIDE
from tests.sweeps.addresses import Address, addresses

KEYS = (1, 2, 3, 5, 6, 16, 19, 22)
"""Keys tried in turn until there is such a page: those of the demo, and of their copies."""
COPIES = tuple(key + 4 * STRIDE for key in KEYS)
LISTS = {
    "quotes": "?show=all&page=99999",
    "builds": "?state=all&page=99999",
    "stock": "?page=99999",
    "deliveries": "?page=99999",
    "orders": "?page=99999",
}
"""What asks a list for its last page."""
NARROWED = {
    "build-changed": "?open=true",
    "builddraw-changed": "?build={key}",
    "lot-changed": "?on_shelf=true",
    "material-changed": "?is_archived=false",
    "piece-changed": "?state=ready",
    "promise-changed": "?open=true",
    "timeentry-changed": "?day_after={yesterday}",
}
"""The filters by which a phone asks for lists that grow with the years."""
NOT_WALKED = {"api_everything", "everything", "api_schema"}
"""The file of everything has a length of its own; the API's description knows no rows."""
SLOW = 0.5
READ_OF_A_STREAM = 1_000_000
OK, ONLY_TAKES_FORMS, FAULT = 200, 405, 500


@dataclass(frozen=True, slots=True)
class Visit:
    """One address as it was answered: seconds until its last byte, bytes as sent, questions.

    first: seconds of the first time, in which what is kept of an answer was worked out.
    """

    name: str
    path: str
    status: int
    seconds: float
    first: float
    bytes: int
    queries: int
    is_paper: bool = False

    @property
    def is_fault(self) -> bool:
        return self.status >= FAULT


def visits(desk: Client, *every: Iterable[int], timed: bool = True) -> Iterator[Visit]:
    """Visit every address there is a page at, with each of the sets of keys, and ends of lists."""
    for one in addresses():
        seen: set[str] = set()
        for keys in () if one.name in NOT_WALKED else every:
            found = first_that_answers(desk, one, keys, timed=timed, without=seen)
            if not found:
                break
            seen.add(found.path)
            yield found
            if one.name in LISTS:
                yield visit(desk, one.name, found.path + LISTS[one.name], timed=timed)


def first_that_answers(
    desk: Client, one: Address, keys: Iterable[int], *, timed: bool, without: set[str]
) -> Visit | None:
    """Visit the first path of an address, `without` some, at which there is a page."""
    yesterday = date.today() - timedelta(days=1)
    asked = NARROWED.get(one.name, "").replace("{yesterday}", f"{yesterday}")
    for path in dict.fromkeys(
        one.path(pk=key, **known(key)) + asked.replace("{key}", f"{key}") for key in keys
    ):
        if path in without:
            continue
        found = visit(desk, one.name, path, timed=timed)
        if found.status == OK or found.is_fault:
            return found
        if found.status == ONLY_TAKES_FORMS:
            return None
    return None


def known(key: int) -> dict[str, object]:
    """Return what stands in addresses beside keys: a piece's number, a holder, a year."""
    from inventory.models import Piece

    piece = Piece.objects.filter(lot__gte=key).order_by("lot").first()
    number = piece.lot.number if piece else "x"
    return {"number": number, "holder": f"build:{key}", "year": time.localtime().tm_year}


def visit(desk: Client, name: str, path: str, *, timed: bool = True) -> Visit:
    """Ask once and count the questions; ask again for its quickest answer, what is slow once."""
    with CaptureQueriesContext(connection) as asked:
        status, first, size, kind = ask(desk, path)
        queries = len(asked)
    seconds = first
    if timed and status == OK:
        for _ in range(3 if first < SLOW else 1):
            _, again, size, kind = ask(desk, path)
            seconds = min(seconds, again)
    return Visit(name, path, status, seconds, first, size, queries, kind == "application/pdf")


def ask(desk: Client, path: str) -> tuple[int, float, int, str]:
    """Return status, seconds to the last byte, the size, and the kind of content.

    Of what is sent as it is written only the first megabyte is read: the rest comes as fast.
    """
    began = time.perf_counter()
    answer = desk.get(path)
    size = 0
    for part in answer.streaming_content if answer.streaming else [answer.content]:
        size += len(part)
        if size > READ_OF_A_STREAM:
            break
    # As Django's test client closes answers: the connection stays for the next one.
    request_finished.disconnect(close_old_connections)
    answer.close()
    request_finished.connect(close_old_connections)
    seconds = time.perf_counter() - began
    return answer.status_code, seconds, size, answer.get("Content-Type", "")
