"""Serves the pages with a production server on one address, and shows them in a browser."""

import errno
import http.client
import os
import signal
import socket
import sys
import threading
import time
import webbrowser
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from shop.launch.telling import Problem, say

if TYPE_CHECKING:
    from granian.server.common import AbstractServer

TARGET = "shop.wsgi:application"
LOCAL_NAMES = ("localhost", "127.0.0.1", "[::1]")
LOOPBACK = {"localhost", "127.0.0.1", "::1"}
EVERY_ADDRESS = {"0.0.0.0": "127.0.0.1", "::": "::1"}
NOWHERE = ("192.0.2.1", 9)
"""An address kept for documentation (RFC 5737): asking the way there sends nothing."""
THREADS_ONE_WRITER = 8
THREADS_PER_PROCESS = 4
PROCESSES_AT_MOST = 4
SECONDS_TO_STOP = 10


@dataclass(frozen=True, slots=True)
class Address:
    """Where the server listens."""

    host: str
    port: int

    @property
    def reachable_host(self) -> str:
        """The host that a browser on this machine asks for."""
        return EVERY_ADDRESS.get(self.host, self.host)

    @property
    def url(self) -> str:
        """The address to type into a browser on this machine."""
        return f"http://{bracketed(self.reachable_host)}:{self.port}/"


@dataclass(frozen=True, slots=True)
class Workers:
    """How many processes serve, and how many requests each handles at once."""

    processes: int
    threads: int


def refuse_taken(address: Address) -> None:
    """Raise Problem when nothing can listen on the address."""
    try:
        family = socket.getaddrinfo(address.host, address.port, type=socket.SOCK_STREAM)[0][0]
        with socket.socket(family, socket.SOCK_STREAM) as probe:
            if os.name != "nt":  # there, the option would let two programs share the port
                probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind((address.host, address.port))
    except OSError as error:
        raise Problem(explain_refusal(error, address)) from error


def explain_refusal(error: OSError, address: Address) -> str:
    """Turn the system's reason for not listening into one sentence with the way out."""
    if error.errno == errno.EADDRINUSE:
        return (
            f"Port {address.port} is taken, perhaps by Gramil itself: open {address.url} to see, "
            f"or start on another port with --port {address.port + 1}."
        )
    if error.errno == errno.EACCES:
        return f"Port {address.port} is kept for the system: choose one above 1023 with --port."
    return (
        f"This machine has no address {address.host} ({error.strerror or error}): "
        "leave --host out, or give one of its own."
    )


def choose_workers(*, database_url: str, cores: int) -> Workers:
    """Return one process for SQLite, which has one writer, and one for each core otherwise."""
    if not database_url or database_url.startswith("sqlite"):
        return Workers(processes=1, threads=THREADS_ONE_WRITER)
    return Workers(processes=max(1, min(cores, PROCESSES_AT_MOST)), threads=THREADS_PER_PROCESS)


def allowed_hosts(host: str) -> list[str]:
    """Return the names and addresses that pages may be asked for by."""
    more = names_of_this_machine() if host in EVERY_ADDRESS else [host]
    return list(dict.fromkeys([*LOCAL_NAMES, *map(bracketed, more)]))


def explain_network(address: Address) -> str:
    """Say under which address others find the pages, and what that means."""
    hosts = names_of_this_machine() if address.host in EVERY_ADDRESS else [address.host]
    return (
        f"Others on this network can open http://{bracketed(hosts[-1])}:{address.port}/ too, and "
        "nothing is encrypted on the way: do this only on a network that you trust."
    )


def names_of_this_machine() -> list[str]:
    """Return the machine's name and its address on the network it reaches others through."""
    name = socket.gethostname().lower()
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(NOWHERE)
        except OSError:
            return [name, f"{name}.local"]
        return [name, f"{name}.local", str(probe.getsockname()[0])]


def bracketed(host: str) -> str:
    """Return the host as it is written in an address: IPv6 within brackets."""
    return f"[{host}]" if ":" in host else host


def serve(address: Address, *, browser: bool) -> None:
    """Serve until interrupted. Raises Problem when the server ends by itself."""
    from granian.constants import Interfaces
    from granian.log import LogLevels
    from granian.server import Server

    database_url = os.environ.get("DATABASE_URL", "")
    workers = choose_workers(database_url=database_url, cores=os.cpu_count() or 1)
    say(f"Serving with {workers.processes} × {workers.threads} threads.")
    server = Server(
        TARGET,
        address=address.host,
        port=address.port,
        interface=Interfaces.WSGI,
        workers=workers.processes,
        blocking_threads=workers.threads,
        websockets=False,
        log_level=LogLevels.error,
        respawn_failed_workers=True,
        workers_kill_timeout=SECONDS_TO_STOP,
    )
    _stop_when_hung_up(server)
    if address.host not in LOOPBACK:
        say(explain_network(address))
    greeter = threading.Thread(target=_greet, args=(address, browser), daemon=True)
    greeter.start()
    try:
        server.serve()
    except SystemExit as stopped:
        raise Problem("The server stopped; its last lines above give the reason.") from stopped
    say("Gramil has stopped.")


def answers(address: Address) -> bool:
    """Say whether the server answers a request, whatever the answer."""
    try:
        asked = http.client.HTTPConnection(address.reachable_host, address.port, timeout=5)
        asked.request("GET", "/")
        asked.getresponse().read()
    except (OSError, http.client.HTTPException):
        return False
    return True


def _greet(address: Address, browser: bool) -> None:
    """Wait for the first answer, then print the address and open it."""
    while not answers(address):
        time.sleep(0.1)
    print(f"Gramil is ready at {address.url} (Ctrl-C ends it)", flush=True)
    if browser and has_screen():
        webbrowser.open(address.url)


def has_screen() -> bool:
    """Say whether a browser window could be seen; without one, a text browser might open here."""
    if sys.platform in ("darwin", "win32"):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def _stop_when_hung_up(server: "AbstractServer[Any]") -> None:
    """Let a closed terminal window end the server, which would start its workers anew instead."""
    if sys.platform != "win32" and signal.getsignal(signal.SIGHUP) != signal.SIG_IGN:
        server.on_startup(lambda: signal.signal(signal.SIGHUP, server.signal_handler_interrupt))
