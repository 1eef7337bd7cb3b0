"""The two commands as a maker types them: a real server on a real data folder."""

import contextlib
import json
import os
import shutil
import signal
import socket
import sqlite3
import subprocess
import sys
import urllib.request

import pytest

from shop.launch import environment
from shop.launch.requirements import ROOT

pytestmark = pytest.mark.slow
SECONDS = 180
HEAVY = {"pandas", "numpy", "scipy", "matplotlib", "ortools", "weasyprint", "pint", "openpyxl"}


def command(data, port):
    options = ["--no-browser", "--port", str(port), "--data", str(data)]
    return [sys.executable, "manage.py", "start", *options]


def surroundings():
    """Return the environment of a maker who has set nothing."""
    ours = ("DATABASE_URL", "DJANGO_SETTINGS_MODULE")
    return {k: v for k, v in os.environ.items() if k not in ours and not k.startswith("GRAMIL_")}


def start(data, port):
    """Run start to its end, as it does when something is in the way."""
    return subprocess.run(
        command(data, port),
        cwd=ROOT,
        env=surroundings(),
        capture_output=True,
        text=True,
        check=False,
        timeout=SECONDS,
    )


@contextlib.contextmanager
def started(data, port, end=signal.SIGINT):
    """Run start until it says that it is ready, and end it as Ctrl-C or another signal does."""
    with subprocess.Popen(
        command(data, port), cwd=ROOT, env=surroundings(), stdout=subprocess.PIPE, text=True
    ) as server:
        try:
            yield server.stdout.readline()
        finally:
            server.send_signal(end)
            try:
                assert server.wait(SECONDS) == 0
            finally:
                server.kill()


def fetch(url):
    with urllib.request.urlopen(url, timeout=SECONDS) as answer:
        return answer.read()


def free_port():
    with socket.create_server(("127.0.0.1", 0)) as free:
        return free.getsockname()[1]


@pytest.fixture
def port():
    return free_port()


@pytest.fixture(scope="module")
def once_started(tmp_path_factory):
    data = tmp_path_factory.mktemp("once") / "data"
    with started(data, free_port()):
        pass
    return data


@pytest.fixture
def used_data(tmp_path, once_started):
    """A data folder that has been started once."""
    return shutil.copytree(once_started, tmp_path / "data")


def test_start_serves_a_new_data_folder_and_then_the_same_again(tmp_path, port):
    data = tmp_path / "data"
    for _ in range(2):
        with started(data, port) as ready:
            assert f"Gramil is ready at http://127.0.0.1:{port}/" in ready
            assert b"Gramil" in fetch(f"http://127.0.0.1:{port}/")
            manifest = json.loads((data / "static/staticfiles.json").read_text())
            icon = manifest["paths"]["shop/favicon.svg"]
            assert fetch(f"http://127.0.0.1:{port}/static/{icon}").startswith(b"<svg")
    assert {"gramil.json", "gramil.sqlite3", "static"} <= set(os.listdir(data))


@pytest.mark.parametrize("end", [signal.SIGTERM, signal.SIGHUP], ids=["told to", "window closed"])
def test_start_ends_and_gives_its_port_back(used_data, port, end):
    with started(used_data, port, end):
        pass
    with socket.create_server(("127.0.0.1", port)):
        pass


def test_a_port_in_use_is_told_before_anything_is_made(tmp_path):
    with socket.create_server(("127.0.0.1", 0)) as taken:
        refused = start(tmp_path / "data", taken.getsockname()[1])
    assert refused.returncode == 1
    assert refused.stderr.startswith("Port ")
    assert refused.stderr.count("\n") == 1
    assert not (tmp_path / "data").exists()


def test_a_folder_of_a_newer_version_is_left_as_it_is(used_data, port):
    (used_data / "gramil.json").write_text(json.dumps({"version": "99.0"}))
    before = (used_data / "gramil.sqlite3").read_bytes()
    refused = start(used_data, port)
    assert refused.returncode == 1
    assert "was last used by Gramil 99.0" in refused.stderr
    assert (used_data / "gramil.sqlite3").read_bytes() == before


def test_a_database_of_a_newer_version_is_told_in_one_line(used_data, port):
    with contextlib.closing(sqlite3.connect(used_data / "gramil.sqlite3")) as database:
        database.execute(
            "INSERT INTO django_migrations (app, name, applied) VALUES ('shop', '9999', '2099')"
        )
        database.commit()
    refused = start(used_data, port)
    assert refused.returncode == 1
    assert refused.stderr.startswith("The database was last used by a newer Gramil")
    assert refused.stderr.count("\n") == 1


def test_a_damaged_database_is_told_in_one_line(used_data, port):
    database = used_data / "gramil.sqlite3"
    database.write_bytes(b"x" * 8192)
    refused = start(used_data, port)
    assert refused.returncode == 1
    assert refused.stderr.startswith(f"The database {database} is damaged")
    assert "start with --from and your last copy" in refused.stderr
    assert refused.stderr.count("\n") == 1


def test_a_real_environment_is_made(tmp_path, monkeypatch):
    if not environment.has_venv_tools():
        pytest.skip("this Python can't make environments")
    monkeypatch.setattr(environment, "FOLDER", tmp_path / ".venv")
    environment.create()
    assert environment.runs("import pip")
    assert not environment.runs("import django")


def test_no_heavy_library_is_loaded_before_it_is_used(tmp_path):
    statement = (
        "import os, sys; os.environ['DJANGO_SETTINGS_MODULE'] = 'shop.settings'; "
        "import shop.wsgi, shop.urls; from django.urls import reverse; reverse('api_schema'); "
        "print(*{name.split('.')[0] for name in sys.modules})"
    )
    loaded = subprocess.run(
        [sys.executable, "-c", statement],
        cwd=ROOT,
        env={**surroundings(), "GRAMIL_DATA": str(tmp_path)},
        capture_output=True,
        text=True,
        check=True,
    ).stdout.split()
    assert "django" in loaded
    assert HEAVY & set(loaded) == set()


def test_a_command_on_a_database_that_was_never_set_up_is_told_in_one_line(tmp_path):
    refused = subprocess.run(
        [sys.executable, "manage.py", "token", "posy"],
        cwd=ROOT,
        env={**surroundings(), "GRAMIL_DATA": str(tmp_path)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert refused.returncode == 1
    assert refused.stderr.startswith("The database has not been set up for this version")
    assert refused.stderr.count("\n") == 1
