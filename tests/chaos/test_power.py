"""What was acknowledged outlives a power cut; with less care for database or files it does not."""

import json
import os
import subprocess
import sys

import pytest
from django.db import connection

from tests.chaos import times
from tests.chaos.cut_disk import can_cut_power

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not can_cut_power(), reason="needs root, loop devices and mkfs.ext4"),
    pytest.mark.skipif(connection.vendor != "sqlite", reason="PostgreSQL syncs by itself"),
]


def cut(folder, cuts, weakened=""):
    mount = folder / "disk"
    mount.mkdir()
    done = subprocess.run(
        [sys.executable, "-m", "tests.chaos.power", str(mount), str(cuts), weakened],
        env={**os.environ, "GRAMIL_DATA": str(mount / "data")},
        stdout=subprocess.PIPE,
        check=True,
    )
    return json.loads(done.stdout)


def test_nothing_acknowledged_is_lost(tmp_path):
    cuts = times(2, whole=50)
    found = cut(tmp_path, cuts)
    print(f"{cuts} power cuts, {found['acknowledged']} acts acknowledged")
    assert found["acknowledged"] >= cuts
    assert found["wrong"] == []


@pytest.mark.parametrize("weakened", ["database", "files"])
def test_with_less_care_something_is_lost(tmp_path, weakened):
    assert cut(tmp_path, 2, weakened)["wrong"] != []
