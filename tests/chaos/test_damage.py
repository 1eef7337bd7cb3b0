"""A database file that is damaged anywhere is found out at the start, or it does no harm."""

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


def content_of(file):
    with closing(sqlite3.connect(file)) as database:
        return list(database.iterdump())


def test_every_hole_is_found_or_touches_nothing(tmp_path):
    call_command("load_demo", verbosity=0)
    whole = tmp_path / "whole.sqlite3"
    with connection.cursor() as cursor:
        cursor.execute("VACUUM INTO %s", [str(whole)])
    data, said, tries = whole.read_bytes(), content_of(whole), times(5, whole=100)
    found = 0
    for seed in range(tries):
        at = random.Random(seed).randrange(0, len(data) - HOLE)
        holed = tmp_path / "holed.sqlite3"
        holed.write_bytes(data[:at] + bytes(HOLE) + data[at + HOLE :])
        if quick_fault(holed):
            found += 1
        else:
            assert content_of(holed) == said, f"the hole at {at} went unseen"
    print(f"{tries} holes of {HOLE} bytes, {found} found at the start")
    assert found > 0
