"""What is printed to run the program for good is whole, and read by what it is for."""

import shutil
import subprocess
from io import StringIO

import pytest
from django.core.management import call_command


def printed(kind, **more):
    to = StringIO()
    call_command("service", kind, stdout=to, host="bench.example", **more)
    return to.getvalue()


@pytest.mark.parametrize("kind", ["systemd", "container", "proxy"])
def test_every_gap_is_filled(kind):
    text = printed(kind)
    assert "bench.example" in text
    assert "{" not in text or kind == "proxy"


@pytest.mark.skipif(not shutil.which("systemd-analyze"), reason="needs systemd")
def test_the_unit_is_one_that_systemd_reads(tmp_path):
    unit = tmp_path / "gramil.service"
    unit.write_text(printed("systemd", user="root", data=tmp_path, copies=tmp_path))
    read = subprocess.run(
        ["systemd-analyze", "verify", unit], capture_output=True, text=True, check=False
    )
    assert "gramil.service" not in read.stderr, read.stderr
