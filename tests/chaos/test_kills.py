"""Whoever is ended with -9 in the middle of work loses nothing that was acknowledged."""

import json
import os
import subprocess
import sys

import pytest
from django.db import connection

from tests.chaos import times

pytestmark = [pytest.mark.slow, pytest.mark.django_db(transaction=True)]


def database_url():
    """Return the address of the database of the tests, empty for a file in the data folder."""
    if connection.vendor == "sqlite":
        return {}
    is_at = connection.settings_dict
    person = f"{is_at['USER']}:{is_at['PASSWORD']}@{is_at['HOST']}:{is_at['PORT'] or 5432}"
    return {"DATABASE_URL": f"postgres://{person}/{is_at['NAME']}"}


def test_nothing_acknowledged_is_lost_when_the_program_is_killed(tmp_path):
    kills = times(3, whole=40)
    outside = {name: said for name, said in os.environ.items() if name != "DATABASE_URL"}
    done = subprocess.run(
        [sys.executable, "-m", "tests.chaos.power", "kill", str(kills)],
        env={**outside, **database_url(), "GRAMIL_DATA": str(tmp_path)},
        stdout=subprocess.PIPE,
        check=True,
    )
    found = json.loads(done.stdout)
    print(f"{kills} kills on {connection.vendor}, {found['acknowledged']} acts acknowledged")
    assert found["acknowledged"] >= kills
    assert found["wrong"] == []
