"""The commands of manage.py: start, test, bench, and whatever Django knows."""

import argparse
import errno
import os
import subprocess
import sys
import tempfile
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path

from shop.launch import datafolder, lan, serving, system
from shop.launch.environment import enter_environment
from shop.launch.requirements import ROOT, program_version
from shop.launch.telling import Problem, say

USAGE = """\
python3 manage.py start           make what is missing and open the workshop in a browser
python3 manage.py start --demo    the same with an invented workshop to look around in
python3 manage.py start --help    all that start can be told
python3 manage.py test            run every test; what follows goes to pytest
python3 manage.py test chaos      power cuts, kills, races, damage, full disk; takes long
python3 manage.py test quick      those that need no database, for the everyday loop
python3 manage.py bench           measure speed; takes several minutes
python3 manage.py help            every other command
"""
DEFAULT_PORT = 8000
NO_TABLE = ("no such table", "no such column", "does not exist")
CHAOS = (
    "tests/chaos",
    "tests/races",
    "tests/shop/desk/test_faults.py",
    "tests/shop/copies",
    "tests/browser/bench/test_random_days.py",
)
TEST_PROCESSES = ("-n", "2", "--dist", "worksteal")
QUICK_TESTS = ("tests", "-m", "not (browser or races or slow or django_db)")
"""What needs no database, browser or environment of its own: arithmetic, laws, the map."""


def main(argv: list[str]) -> int:
    """Run one command and return the exit code; problems are told in one sentence."""
    try:
        return run(argv)
    except Problem as problem:
        say(str(problem))
        return 1
    except KeyboardInterrupt:
        say("Stopped.")
        return 130
    except OSError as error:
        if error.errno != errno.ENOSPC:
            raise
        say("The disk is full: make room on it and run the same line again.")
        return 1


def run(argv: list[str]) -> int:
    """Hand the command to whoever does it."""
    match argv:
        case []:
            print(USAGE, end="")
            return 0
        case ["start", *rest]:
            return start(rest)
        case ["test", "chaos", *rest]:
            return chaos(rest)
        case ["test", *rest]:
            return test(rest)
        case ["bench", *rest]:
            return bench(rest)
    return administer(argv)


def start(argv: list[str]) -> int:
    """Make what is missing, then serve until interrupted."""
    options = start_options(argv)
    folder = options.data.expanduser().resolve()
    address = serving.Address(options.host, options.port)
    serving.refuse_taken(address)
    datafolder.open_data_folder(folder, version=program_version())
    alone = datafolder.refuse_second_server(folder)
    system.ensure_pdf_parts()
    enter_environment(["start", *argv])
    from shop.launch.preparing import prepare

    os.environ["GRAMIL_DATA"] = str(folder)
    hosts = serving.allowed_hosts(lan.EVERYWHERE if options.lan else options.host)
    os.environ.setdefault("GRAMIL_HOSTS", ",".join(hosts))
    os.environ.setdefault("GRAMIL_COPY_DAILY", "true")
    if options.copies:
        datafolder.name_copies(folder, options.copies.expanduser().resolve())
    if os.environ.get("GRAMIL_METRICS_TOKEN"):
        os.environ.setdefault("PROMETHEUS_MULTIPROC_DIR", str(datafolder.figures_folder(folder)))
    prepare(demo=options.demo, copy=options.copy)
    datafolder.mark(folder, version=program_version())
    with alone, let_phones_in(folder, options):
        serving.serve(address, browser=options.browser)
    return 0


def let_phones_in(folder: Path, options: argparse.Namespace) -> AbstractContextManager[None]:
    """Serve the shop's network by HTTPS beside this machine, if asked."""
    if not options.lan:
        return nullcontext()
    for port in (options.port + 443, options.port + 80):
        serving.refuse_taken(serving.Address(lan.EVERYWHERE, port))
    found = lan.prepare_lan(folder, port=options.port)
    os.environ.setdefault("GRAMIL_PHONE_URL", found.address)
    return lan.phones_let_in(found, port=options.port)


def start_options(argv: list[str]) -> argparse.Namespace:
    """Read what start was told on the command line."""
    parser = argparse.ArgumentParser(
        prog="manage.py start", description="Make what is missing and serve the workshop."
    )
    parser.add_argument("--demo", action="store_true", help="load the invented demo workshop")
    parser.add_argument("--port", type=port, default=DEFAULT_PORT, help="default: %(default)s")
    parser.add_argument(
        "--data",
        type=Path,
        default=os.environ.get("GRAMIL_DATA") or datafolder.DEFAULT,
        help="folder that holds the database, pictures and documents; default: %(default)s",
    )
    parser.add_argument(
        "--lan", action="store_true", help="let phones on the shop's network in, by HTTPS"
    )
    parser.add_argument(
        "--from", dest="copy", type=Path, metavar="FILE", help="restore this backup first"
    )
    parser.add_argument(
        "--copies", type=Path, metavar="FOLDER", help="where copies are kept from now on"
    )
    parser.add_argument("--host", default="127.0.0.1", help="default: this machine only")
    parser.add_argument(
        "--no-browser", dest="browser", action="store_false", help="do not open a browser"
    )
    return parser.parse_args(argv)


def port(text: str) -> int:
    """Read a port number."""
    if not text.isdecimal() or not 0 < int(text) < 65536:
        raise argparse.ArgumentTypeError(f"{text!r} is not a port number from 1 to 65535")
    return int(text)


def test(argv: list[str]) -> int:
    """Make what is missing, then run the tests in a data folder that is thrown away."""
    system.ensure_pdf_parts()
    system.ensure_browser()
    enter_environment(["test", *argv], tests=True)
    asked = [*QUICK_TESTS, *argv[1:]] if argv[:1] == ["quick"] else argv
    command = [sys.executable, "-m", "pytest", *TEST_PROCESSES, *asked]
    with tempfile.TemporaryDirectory(prefix="gramil-test-") as folder:
        environment = {**os.environ, "GRAMIL_DATA": folder}
        return subprocess.call(command, cwd=ROOT, env=environment)


def chaos(argv: list[str]) -> int:
    """Try what a workshop's only books have to outlive, at full size, and print the counts."""
    os.environ["GRAMIL_CHAOS"] = "whole"
    return test(["-n", "0", "-rP", *CHAOS, *argv])


def bench(argv: list[str]) -> int:
    """Measure speed on a database that is thrown away."""
    system.ensure_pdf_parts()
    enter_environment(["bench", *argv], tests=True)
    return subprocess.call([sys.executable, "-m", "tests.bench", *argv], cwd=ROOT)


def administer(argv: list[str]) -> int:
    """Run a command of Django's or of the program's apps in the program's environment."""
    enter_environment(argv)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    from django.core.management import execute_from_command_line
    from django.db import DatabaseError

    try:
        execute_from_command_line(["manage.py", *argv])
    except DatabaseError as error:
        if not any(sign in str(error) for sign in NO_TABLE):
            raise
        raise Problem(
            "The database has not been set up for this version: run `python3 manage.py start` "
            "once, or `python3 manage.py migrate`. Another data folder is named in GRAMIL_DATA."
        ) from error
    return 0
