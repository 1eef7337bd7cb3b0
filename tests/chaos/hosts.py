"""Web processes as they run for good: started on the tests' books, watched, killed; and a proxy."""

import asyncio
import http.client
import itertools
import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time
from contextlib import contextmanager, suppress
from pathlib import Path

from django.conf import settings
from django.db import connection

THREADS = 4
SECONDS_TO_START = 120


def database_url():
    """Return the address of the database of the tests."""
    is_at = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{is_at['NAME']}"
    person = f"{is_at['USER']}:{is_at['PASSWORD']}@{is_at['HOST']}:{is_at['PORT'] or 5432}"
    return f"postgres://{person}/{is_at['NAME']}"


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class Host:
    """One web process, with a server's own process above it."""

    def __init__(self, *, threads=THREADS, **more):
        self.port = free_port()
        environment = {
            **os.environ,
            "DATABASE_URL": database_url(),
            "GRAMIL_DATA": str(settings.DATA_DIR),
            "DJANGO_SETTINGS_MODULE": "shop.settings",
            **more,
        }
        command = ["--interface", "wsgi", "--port", str(self.port), "--workers", "1"]
        command += ["--blocking-threads", str(threads), "--no-ws", "--log-level", "error"]
        # Its own group, so that a kill takes the worker as well, as a lost machine would.
        self._process = subprocess.Popen(
            [sys.executable, "-m", "granian", *command, "shop.wsgi:application"],
            env=environment,
            start_new_session=True,
        )

    def wait_until_ready(self):
        until = time.monotonic() + SECONDS_TO_START
        while time.monotonic() < until and self._process.poll() is None:
            asked = Caller(self.port, {})
            with suppress(OSError, http.client.HTTPException):
                if asked.ask("GET", "/ready/")[0] == 200:
                    asked.hang_up()
                    return
            asked.hang_up()
            time.sleep(0.1)
        raise RuntimeError("The web process did not become ready.")

    def processes(self):
        found = [self._process.pid]
        for pid in found:
            with suppress(OSError):
                children = Path(f"/proc/{pid}/task/{pid}/children").read_text().split()
                found += map(int, children)
        return found

    def memory_mb(self):
        """Return what its processes hold in memory of their own, in MB.

        What they map of files is not counted: SQLite maps the books, which grow.
        """
        held = [Path(f"/proc/{pid}/status").read_text() for pid in self._living()]
        return sum(int(re.search(r"RssAnon:\s+(\d+) kB", one)[1]) for one in held) / 1000

    def open_files(self):
        """Return how many files and connections its processes hold open."""
        return sum(len(os.listdir(f"/proc/{pid}/fd")) for pid in self._living())

    def kill(self):
        """End all of it at once, as a lost machine does."""
        with suppress(ProcessLookupError):
            os.killpg(self._process.pid, signal.SIGKILL)
        self._process.wait()

    def _living(self):
        return [pid for pid in self.processes() if Path(f"/proc/{pid}/fd").exists()]


@contextmanager
def hosts(count, **more):
    """Give `count` web processes that are ready, and end them afterwards."""
    started = [Host(**more) for _ in range(count)]
    try:
        for one in started:
            one.wait_until_ready()
        yield started
    finally:
        for one in started:
            one.kill()


def database_connections():
    """Return how many connections others have to the database; 0 on SQLite, which has none."""
    if connection.vendor == "sqlite":
        return 0
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database()"
            " AND pid <> pg_backend_pid()"
        )
        return cursor.fetchone()[0]


class Proxy:
    """Passes each connection on to the next web process that takes it, and knows no more."""

    def __init__(self, ports):
        self.port = free_port()
        self._ports = itertools.cycle(ports)
        self._many = len(ports)
        self._loop = asyncio.new_event_loop()
        self._listens = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)

    def __enter__(self):
        self._thread.start()
        self._listens.wait()
        return self

    def __exit__(self, *raised):
        self._loop.call_soon_threadsafe(self._loop.stop)
        self._thread.join()

    def _run(self):
        asyncio.set_event_loop(self._loop)
        listen = asyncio.start_server(self._pass_on, "127.0.0.1", self.port)
        server = self._loop.run_until_complete(listen)
        self._listens.set()
        self._loop.run_forever()
        server.close()
        left = asyncio.all_tasks(self._loop)
        for task in left:
            task.cancel()
        self._loop.run_until_complete(asyncio.gather(*left, return_exceptions=True))
        self._loop.close()

    async def _pass_on(self, asked, answered):
        for _ in range(self._many):
            with suppress(OSError):
                there = await asyncio.open_connection("127.0.0.1", next(self._ports))
                break
        else:
            answered.close()
            return
        ways = (_copy(asked, there[1]), _copy(there[0], answered))
        await asyncio.gather(*ways, return_exceptions=True)


async def _copy(source, target):
    try:
        while data := await source.read(1 << 16):
            target.write(data)
            await target.drain()
    except OSError:
        pass  # one of the two has gone; the other is told by the close
    finally:
        target.close()


class Caller:
    """Somebody who asks over one connection, and again over a new one where it broke."""

    def __init__(self, port, headers):
        self._port, self._headers = port, headers
        self._connection = None

    def ask(self, method, way, body=None, **more):
        """Return status and content. Raises OSError or HTTPException where the connection broke."""
        if self._connection is None:
            self._connection = http.client.HTTPConnection("127.0.0.1", self._port, timeout=120)
        try:
            self._connection.request(method, way, body, {**self._headers, **more})
            answer = self._connection.getresponse()
            return answer.status, answer.read()
        except (OSError, http.client.HTTPException):
            self.hang_up()
            raise

    def hang_up(self):
        if self._connection is not None:
            self._connection.close()
        self._connection = None
