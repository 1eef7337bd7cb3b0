"""Walks every address that can be read, and says how long, how large and how many questions."""

import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.db import connection
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
NOT_WALKED = {"api_everything", "everything", "api_schema"}
"""The file of everything has a length of its own; the API's description knows no rows."""
SLOW = 0.5
READ_OF_A_STREAM = 1_000_000
OK, ONLY_TAKES_FORMS = 200, 405


@dataclass(frozen=True, slots=True)
class Visit:
    """One address as it was answered: seconds until its last byte, bytes as sent, questions."""

    name: str
    path: str
    status: int
    seconds: float
    first_byte: float
    bytes: int
    queries: int


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
    for path in dict.fromkeys(one.path(pk=key, **known(key)) for key in keys):
        if path in without:
            continue
        found = visit(desk, one.name, path, timed=timed)
        if found.status == OK:
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
    """Ask once and count the questions; what was quick is asked again, for its quickest answer."""
    with CaptureQueriesContext(connection) as asked:
        status, seconds, first, size = ask(desk, path)
        queries = len(asked)
    if timed and status == OK and seconds < SLOW:
        for _ in range(3):
            _, again, soon, size = ask(desk, path)
            seconds, first = min(seconds, again), min(first, soon)
    return Visit(name, path, status, seconds, first, size, queries)


def ask(desk: Client, path: str) -> tuple[int, float, float, int]:
    """Return status, seconds to the last byte and to the first, and the size.

    Of what is sent as it is written only the first megabyte is read: the rest comes as fast.
    """
    began = time.perf_counter()
    answer = desk.get(path)
    first = time.perf_counter() - began
    size, first_part = 0, None
    for part in answer.streaming_content if answer.streaming else [answer.content]:
        first_part = first_part or time.perf_counter() - began
        size += len(part)
        if size > READ_OF_A_STREAM:
            break
    answer.close()
    return answer.status_code, time.perf_counter() - began, first_part or first, size
