"""The shop's own authority vouches for the shop's computer and for nobody else."""

import ssl
import stat
import threading
from datetime import UTC, datetime, timedelta
from http.server import BaseHTTPRequestHandler, HTTPServer
from urllib.request import urlopen

import pytest

from shop.devices.certificates import (
    CERTIFICATE_DAYS,
    RENEW_DAYS,
    ensure_authority,
    ensure_certificate,
    names_in,
)

NOW = datetime(2027, 3, 9, 9, 0, tzinfo=UTC)
NAMES = ["shed", "shed.local", "192.168.1.20", "localhost", "127.0.0.1"]


@pytest.fixture
def authority(tmp_path):
    return ensure_authority(tmp_path, host="shed", now=NOW)


def made(tmp_path, authority, names=NAMES, now=NOW):
    return ensure_certificate(tmp_path, authority, names=names, now=now)


def test_the_certificate_stands_for_the_names_and_addresses_of_the_machine(tmp_path, authority):
    certificate, _ = made(tmp_path, authority).load()
    assert names_in(certificate) == NAMES


@pytest.mark.parametrize("stranger", ["bank.example", "203.0.113.7", "local.example"])
def test_it_vouches_for_no_stranger(tmp_path, authority, stranger):
    certificate, _ = made(tmp_path, authority, [*NAMES, stranger]).load()
    assert names_in(certificate) == NAMES


def test_keys_are_readable_by_their_owner_only(tmp_path, authority):
    for key in (authority.key, made(tmp_path, authority).key):
        assert stat.S_IMODE(key.stat().st_mode) == 0o600


def test_it_is_kept_while_it_is_good(tmp_path, authority):
    first = made(tmp_path, authority).certificate.read_bytes()
    assert ensure_authority(tmp_path, host="shed", now=NOW).certificate == authority.certificate
    assert made(tmp_path, authority).certificate.read_bytes() == first


@pytest.mark.parametrize(
    ("names", "days"),
    [
        ([*NAMES, "192.168.1.21"], 0),
        (NAMES, CERTIFICATE_DAYS - RENEW_DAYS + 1),
    ],
    ids=["another address", "about to end"],
)
def test_it_is_renewed_by_itself(tmp_path, authority, names, days):
    first = made(tmp_path, authority).certificate.read_bytes()
    later = made(tmp_path, authority, names, NOW + timedelta(days=days))
    assert later.certificate.read_bytes() != first


def test_who_trusts_the_authority_gets_in_and_nobody_else(tmp_path):
    now = datetime.now(UTC)
    authority = ensure_authority(tmp_path, host="shed", now=now)
    pair = made(tmp_path, authority, now=now)
    server = HTTPServer(("127.0.0.1", 0), Answering)
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(pair.certificate, pair.key)
    server.socket = context.wrap_socket(server.socket, server_side=True)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    url = f"https://127.0.0.1:{server.server_port}/"
    try:
        trusting = ssl.create_default_context(cafile=authority.certificate)
        with urlopen(url, context=trusting, timeout=5) as answer:
            assert answer.status == 200
        with pytest.raises(OSError, match="CERTIFICATE_VERIFY_FAILED"):
            urlopen(url, context=ssl.create_default_context(), timeout=5)
    finally:
        server.shutdown()
        server.server_close()


class Answering(BaseHTTPRequestHandler):
    def do_GET(self):
        self.send_response(200)
        self.end_headers()

    def log_message(self, format, *args):
        pass
