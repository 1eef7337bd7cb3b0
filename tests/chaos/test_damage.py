"""A damaged database file is found out at the start; or the hole lies within one long value."""

import random
import sqlite3
from contextlib import closing

import pytest
from django.core.management import call_command
from django.db import connection

from shop.launch.preparing import quick_fault
from tests.chaos import times

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(connection.vendor != "sqlite", reason="PostgreSQL keeps files of its own"),
    pytest.mark.django_db(transaction=True),
]
HOLE = 4096


PAGE = 4096
KEPT_ANSWERS = ('INSERT INTO "shop_answers"', 'INSERT INTO "shop_lists"')
"""They have seals of their own, and are made again where those are broken."""


def content_of(file):
    with closing(sqlite3.connect(file)) as database:
        lines = list(database.iterdump())
    return [line for line in lines if not line.startswith(KEPT_ANSWERS)]


def other_than(said, found):
    """Return the lines that differ, but for those of a value so long that SQLite can't see it."""
    if len(said) != len(found):
        return ["rows are missing"]
    differ = [one for one, other in zip(said, found, strict=True) if one != other]
    return [line[:200] for line in differ if len(line) <= PAGE]


def test_every_hole_is_found_or_lies_within_one_long_value(tmp_path):
    call_command("load_demo", verbosity=0)
    whole = tmp_path / "whole.sqlite3"
    with connection.cursor() as cursor:
        cursor.execute("VACUUM INTO %s", [str(whole)])
    data, said, tries = whole.read_bytes(), content_of(whole), times(5, whole=100)
    found = unseen = 0
    for seed in range(tries):
        at = random.Random(seed).randrange(0, len(data) - HOLE)
        holed = tmp_path / "holed.sqlite3"
        holed.write_bytes(data[:at] + bytes(HOLE) + data[at + HOLE :])
        if quick_fault(holed):
            found += 1
        else:
            now = content_of(holed)
            unseen += now != said
            assert other_than(said, now) == [], f"the hole at {at} went unseen"
    print(f"{tries} holes of {HOLE} bytes, {found} found at the start, {unseen} unseen")
    assert found > 0
