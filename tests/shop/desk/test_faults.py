"""Trouble with disk or database is told in a sentence, on a page and over the API."""

import errno

import pytest
from django.db import OperationalError, connection
from django.db.utils import DatabaseError

from shop.desk.pages.faults import BUSY, CROSSED, DAMAGED, FULL, MISSING, trouble_of


def caused_by(cause, error):
    error.__cause__ = cause
    return error


@pytest.mark.parametrize(
    ("error", "trouble"),
    [
        (OSError(errno.ENOSPC, "No space left on device"), FULL),
        (OperationalError("database or disk is full"), FULL),
        (caused_by(OSError(errno.ENOSPC, ""), ValueError("not saved")), FULL),
        (OperationalError("could not extend file: No space left on device"), FULL),
        (OperationalError("database is locked"), BUSY),
        (DatabaseError("database disk image is malformed"), DAMAGED),
        (DatabaseError("file is not a database"), DAMAGED),
        (ValueError("disk is full of jokes"), None),
        (OSError(errno.EACCES, "Permission denied"), None),
        (None, None),
    ],
    ids=str,
)
def test_what_a_person_can_do_about_it(error, trouble):
    assert trouble_of(error) is trouble


def test_a_kept_file_that_is_gone_is_told(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    gone, of_the_program = tmp_path / "papers" / "quote.pdf", tmp_path.parent / "base.html"
    assert trouble_of(FileNotFoundError(errno.ENOENT, "", f"{gone}")) is MISSING
    assert trouble_of(FileNotFoundError(errno.ENOENT, "", f"{of_the_program}")) is None


def test_whoever_gave_way_is_told_to_look_again():
    cause = type("Deadlock", (Exception,), {"sqlstate": "40P01"})()
    assert trouble_of(caused_by(cause, OperationalError("deadlock detected"))) is CROSSED


@pytest.fixture
def full_disk(workshop, transactional_db):
    """A database that may not grow any more."""
    with connection.cursor() as cursor:
        cursor.execute("VACUUM")
        cursor.execute("PRAGMA max_page_count")
        before = cursor.fetchone()[0]
        cursor.execute("PRAGMA page_count")
        cursor.execute(f"PRAGMA max_page_count = {cursor.fetchone()[0]}")
        yield
        cursor.execute(f"PRAGMA max_page_count = {before}")


@pytest.mark.skipif(connection.vendor != "sqlite", reason="a full server says the same words")
def test_a_full_disk_is_told_and_nothing_is_written(desk, posy, full_disk):
    desk.raise_request_exception = False
    for number in range(2000):
        name = {"name": f"{number} {'x' * 50}"}
        answer = desk.post("/api/v1/places/", name, content_type="application/json")
        if answer.status_code != 201:
            break
    assert answer.status_code == 507, answer.content
    assert answer["Content-Type"] == "application/problem+json"
    assert "The disk is full: nothing was written" in answer.json()["detail"]
