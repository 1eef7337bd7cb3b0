"""Lets phones in: HTTPS on the shop's network, and a page that leads a phone to trusting it."""

import os
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

from shop.launch import serving
from shop.launch.requirements import ROOT
from shop.launch.telling import say

EVERYWHERE = "0.0.0.0"
GUIDE = Path(__file__).with_name("trust.html")
SECONDS_TO_STOP = 10
HEADERS = {"X-Content-Type-Options": "nosniff", "Cache-Control": "no-store"}


@dataclass(frozen=True, slots=True)
class Lan:
    """What phones need: the secure address, the guide's address, and the files behind both."""

    address: str
    guide: str
    certificate: Path
    key: Path
    authority: bytes
    fingerprint: str


def prepare_lan(folder: Path, *, port: int) -> Lan:
    """Make or renew the certificate in the data folder and say where phones find the shop.

    The secure address is at `port` + 443, the guide at `port` + 80, so at 8443 and 8080.
    """
    from cryptography.hazmat.primitives.hashes import SHA256
    from cryptography.hazmat.primitives.serialization import Encoding

    from shop.devices.certificates import ensure_authority, ensure_certificate

    now = datetime.now(UTC)  # noqa: TID251 - the launcher has no caller who knows the time
    names = serving.names_of_this_machine()
    private = folder / "phones"
    authority = ensure_authority(private, host=names[0], now=now)
    own = [*names, "localhost", "127.0.0.1"]
    pair = ensure_certificate(private, authority, names=own, now=now)
    certificate, _ = authority.load()
    host = names[1]
    return Lan(
        address=f"https://{host}:{port + 443}",
        guide=f"http://{names[-1]}:{port + 80}/",
        certificate=pair.certificate,
        key=pair.key,
        authority=certificate.public_bytes(Encoding.DER),
        fingerprint=certificate.fingerprint(SHA256())[-8:].hex(" ").upper(),
    )


@contextmanager
def phones_let_in(lan: Lan, *, port: int) -> Iterator[None]:
    """Serve the secure address and the guide while the block runs."""
    guide = start_guide(lan, port=port + 80)
    server = subprocess.Popen(secure_command(lan, port=port + 443), cwd=ROOT, env=secure_env())
    say(f"For phones: open {lan.guide} on the phone (certificate ends {lan.fingerprint}).")
    try:
        yield
    finally:
        guide.shutdown()
        guide.server_close()
        server.terminate()
        try:
            server.wait(SECONDS_TO_STOP)
        except subprocess.TimeoutExpired:
            server.kill()


def secure_command(lan: Lan, *, port: int) -> list[str]:
    """Return the command that serves the program by HTTPS, as a process of its own."""
    workers = serving.choose_workers(
        database_url=os.environ.get("DATABASE_URL", ""), cores=os.cpu_count() or 1
    )
    return [
        *(sys.executable, "-m", "granian", "--interface", "wsgi", "--no-ws"),
        *("--host", EVERYWHERE, "--port", str(port), "--log-level", "error"),
        *("--ssl-certificate", str(lan.certificate), "--ssl-keyfile", str(lan.key)),
        *("--workers", str(workers.processes), "--blocking-threads", str(workers.threads)),
        serving.TARGET,
    ]


def secure_env() -> dict[str, str]:
    """Return the environment of the secure server: its cookies go over HTTPS only."""
    return {**os.environ, "GRAMIL_HTTPS": "1"}


def start_guide(lan: Lan, *, port: int) -> ThreadingHTTPServer:
    """Serve the page that leads a phone through trusting the shop, and the shop's certificate."""
    page = GUIDE.read_text(encoding="utf-8")
    page = page.replace("@ADDRESS@", lan.address).replace("@FINGERPRINT@", lan.fingerprint)
    files = {
        "/": ("text/html; charset=utf-8", page.encode()),
        "/authority.crt": ("application/x-x509-ca-cert", lan.authority),
    }

    class Guide(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            kind, body = files.get(self.path.partition("?")[0], ("", b""))
            self.send_response(200 if kind else 404)
            self.send_header("Content-Type", kind or "text/plain")
            self.send_header("Content-Length", str(len(body)))
            for name, value in HEADERS.items():
                self.send_header(name, value)
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, format: str, *args: object) -> None:
            """Say nothing: phones look in often while they are being set up."""

    server = ThreadingHTTPServer((EVERYWHERE, port), Guide)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    return server
