"""The first reading of a phone: all that its page asks the API for, packed as it is sent.

Paths and numbers of rows are those of `state.js` of the bench page, but for the greeting, which
holds no rows.
"""

import gzip
import json
import time
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from django.db import connection
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.bench.years.walk import OK, Visit

PAGE = 200
MOST_PIECES, MOST = 5000, 2000
PACKED = {"accept-encoding": "gzip"}
PHONE = "phone"


def first_sync(desk: Client, today: date) -> Visit:
    """Ask for all of it, one answer after the other, and add up what was sent."""
    with CaptureQueriesContext(connection) as asked:
        began = time.perf_counter()
        sent = [len(answer.content) for answer in _answers(desk, today)]
        seconds = time.perf_counter() - began
    what = "first sync of a phone, packed"
    return Visit(PHONE, what, OK, seconds, seconds, sum(sent), len(asked))


def _answers(desk: Client, today: date) -> Iterator[HttpResponse]:
    for path in ("clock/", "queue/today/", f"draws/?page_size={PAGE}"):
        yield _ask(desk, path)
    yesterday = f"day_after={today - timedelta(days=1)}&day_before={today}"
    lists = {
        "builds/?open=true": PAGE,
        f"time-entries/?{yesterday}": PAGE,
        "materials/?is_archived=false": MOST,
        "lots/?on_shelf=true&is_piece=true": MOST_PIECES,
        "lots/?on_shelf=true&is_piece=false": MOST,
        "promises/?open=true": MOST,
        "places/?": MOST,
        **{f"pieces/?state={one}": MOST_PIECES for one in ("seasoning", "ready", "downgraded")},
    }
    for path, most in lists.items():
        for page in range(1, most // PAGE + 1):
            answer = _ask(desk, f"{path}&page_size={PAGE}&page={page}")
            yield answer
            if not _read(answer)["next"]:
                break


def _ask(desk: Client, path: str) -> HttpResponse:
    answer = desk.get(f"/api/v1/{path}", headers=PACKED)
    assert answer.status_code == OK, (path, answer.status_code)
    return answer


def _read(answer: HttpResponse) -> dict[str, Any]:
    is_packed = answer.has_header("Content-Encoding")  # what is short is sent as it is
    read: dict[str, Any] = json.loads(
        gzip.decompress(answer.content) if is_packed else answer.content
    )
    return read
