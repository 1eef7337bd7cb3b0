"""Letting phones in: the secure address, and the page that leads a phone to trusting it."""

from urllib.error import HTTPError
from urllib.request import urlopen

import pytest

from shop.launch import lan, serving
from shop.launch.commands import start_options


@pytest.fixture
def found(tmp_path, monkeypatch):
    names = ["shed", "shed.local", "192.168.1.20"]
    monkeypatch.setattr(serving, "names_of_this_machine", lambda: names)
    return lan.prepare_lan(tmp_path, port=8000)


def test_phones_come_in_by_a_name_that_stays_when_the_address_changes(found):
    assert (found.address, found.guide) == ("https://shed.local:8443", "http://192.168.1.20:8080/")


def test_the_secure_server_uses_the_certificate_and_sends_its_cookies_by_https_only(found):
    command = lan.secure_command(found, port=8443)
    assert str(found.certificate) in command
    assert str(found.key) in command
    assert lan.secure_env()["GRAMIL_HTTPS"] == "1"


def test_the_guide_gives_the_certificate_and_says_where_to_go(found, monkeypatch):
    monkeypatch.setattr(lan, "EVERYWHERE", "127.0.0.1")
    server = lan.start_guide(found, port=0)
    url = f"http://127.0.0.1:{server.server_port}"
    try:
        with urlopen(url + "/", timeout=5) as answer:
            page = answer.read().decode()
        with urlopen(url + "/authority.crt", timeout=5) as answer:
            assert answer.headers["Content-Type"] == "application/x-x509-ca-cert"
            assert answer.read() == found.authority
        with pytest.raises(HTTPError, match="404") as missing:
            urlopen(url + "/phones/authority.key", timeout=5)
        missing.value.close()
    finally:
        server.shutdown()
        server.server_close()
    assert "https://shed.local:8443/bench/" in page
    assert found.fingerprint in page
    assert "@" not in page


def test_phones_are_let_in_only_when_asked():
    assert not start_options([]).lan
    assert start_options(["--lan"]).lan
