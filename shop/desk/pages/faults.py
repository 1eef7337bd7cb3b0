"""What is answered when nothing else does: a page for people, problem details for the API."""

import errno
import sqlite3
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import DatabaseError, OperationalError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.template.loader import render_to_string
from django.views import defaults

from inventory.base.api.problems import PROBLEM_JSON, problem_body
from inventory.base.attempts import gave_way

SENTENCES = {
    400: "The request can't be read.",
    403: "Your role doesn’t allow this.",
    404: "There is nothing at this address.",
    500: "Something went wrong in the program. Nothing was saved.",
}


@dataclass(frozen=True, slots=True)
class Fault:
    """Something that no program can mend: what it is, and what to do."""

    status: int
    title: str
    sentence: str
    way_out: str


FULL = Fault(
    507,
    "The disk is full",
    "The disk is full: nothing was written, and what was saved before is still saved.",
    "Make room on the disk that holds the data folder, go back and send it again.",
)
BUSY = Fault(
    503,
    "The database is busy",
    "Somebody else was writing for so long that nothing was written here.",
    "Go back and send it again.",
)
CROSSED = Fault(
    409,
    "At the same moment",
    "Somebody changed the same things at the same moment: nothing was written here.",
    "Go back, look at how it stands now, and send it again.",
)
DAMAGED = Fault(
    500,
    "The database is damaged",
    "The database can't be read where this is kept: nothing was written.",
    "End the program and start it again: it says how to go back to the last good copy.",
)
AWAY = Fault(
    503,
    "The database does not answer",
    "The database does not answer: nothing was written.",
    "See that its server runs, go back and send it again.",
)
MISSING = Fault(
    410,
    "A kept file is missing",
    "The file of this paper or photo is no longer in the data folder.",
    "Take it from the last good copy of the books and put it back where it was.",
)
NO_ROOM = {errno.ENOSPC, errno.EDQUOT}
SAID = [
    ("disk is full", FULL),
    ("No space left on device", FULL),
    ("database is locked", BUSY),
    ("malformed", DAMAGED),
    ("not a database", DAMAGED),
    ("disk I/O error", DAMAGED),
    ("invalid page in block", DAMAGED),
    ("connection failed", AWAY),
    ("server closed the connection", AWAY),
]
"""What SQLite and PostgreSQL say in English, and what it means to whoever wanted something."""


def unreadable(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer what can't be read."""
    return _problem(request, 400) or defaults.bad_request(request, exception)


def closed(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer who may not."""
    return _problem(request, 403) or defaults.permission_denied(request, exception)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Answer an address where nothing is."""
    return _problem(request, 404) or defaults.page_not_found(request, exception)


def broken(request: HttpRequest) -> HttpResponse:
    """Answer after a fault of the program, or trouble with the disk or the database."""
    trouble = trouble_of(sys.exception())
    if trouble is None:
        return _problem(request, 500) or defaults.server_error(request)
    if _is_api(request):
        body = problem_body(trouble.status, trouble.sentence)
        return JsonResponse(body, status=trouble.status, content_type=PROBLEM_JSON)
    page = render_to_string("trouble.html", {"trouble": trouble})
    return HttpResponse(page, status=trouble.status)


def trouble_of(error: BaseException | None) -> Fault | None:
    """Return what a person can do about an error of disk or database; None for any other."""
    seen: list[BaseException] = []
    while error is not None and error not in seen:
        if isinstance(error, OSError) and error.errno in NO_ROOM:
            return FULL
        if isinstance(error, FileNotFoundError) and _is_kept(error):
            return MISSING
        if isinstance(error, DatabaseError | sqlite3.DatabaseError | OperationalError):
            for words, trouble in SAID:
                if words in str(error):
                    return trouble
            if gave_way(error):
                return CROSSED
        seen.append(error)
        error = error.__cause__ or error.__context__
    return None


def _is_kept(error: FileNotFoundError) -> bool:
    """Say whether the file that is not there is one that a row names, not one of the program's."""
    return Path(f"{error.filename}").is_relative_to(settings.MEDIA_ROOT)


def _is_api(request: HttpRequest) -> bool:
    return request.path.startswith("/api/")


def _problem(request: HttpRequest, status: int) -> HttpResponse | None:
    """Return problem details for the API, and None for a page."""
    if not _is_api(request):
        return None
    body: dict[str, Any] = problem_body(status, SENTENCES[status])
    return JsonResponse(body, status=status, content_type=PROBLEM_JSON)
