import errno
import http.server
import socket
import threading

import pytest

from shop.launch import serving
from shop.launch.serving import Address, Workers
from shop.launch.telling import Problem


@pytest.fixture
def listener():
    """A program that has a port of this machine to itself."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        yield taken


def test_a_taken_port_is_told_with_another_to_try(listener):
    port = listener.getsockname()[1]
    with pytest.raises(Problem, match=rf"Port {port} is taken.*--port {port + 1}"):
        serving.refuse_taken(Address("127.0.0.1", port))


def test_a_port_that_was_given_back_is_free(listener):
    port = listener.getsockname()[1]
    listener.close()
    serving.refuse_taken(Address("127.0.0.1", port))


@pytest.mark.parametrize("host", ["192.0.2.77", "no.such.host.invalid"])
def test_an_address_of_another_machine_is_told(host):
    with pytest.raises(Problem, match=f"This machine has no address {host}"):
        serving.refuse_taken(Address(host, 8000))


def test_a_port_kept_for_the_system_is_told():
    told = serving.explain_refusal(OSError(errno.EACCES, "denied"), Address("127.0.0.1", 80))
    assert told == "Port 80 is kept for the system: choose one above 1023 with --port."


@pytest.mark.parametrize(
    ("host", "url"),
    [
        ("127.0.0.1", "http://127.0.0.1:8000/"),
        ("0.0.0.0", "http://127.0.0.1:8000/"),
        ("::1", "http://[::1]:8000/"),
        ("workshop.local", "http://workshop.local:8000/"),
    ],
)
def test_the_address_can_be_typed_into_a_browser(host, url):
    assert Address(host, 8000).url == url


@pytest.mark.parametrize(
    ("database_url", "cores", "workers"),
    [
        ("", 16, Workers(1, 8)),
        ("sqlite:////srv/gramil.sqlite3", 16, Workers(1, 8)),
        ("postgres://127.0.0.1/gramil", 1, Workers(1, 4)),
        ("postgres://127.0.0.1/gramil", 2, Workers(2, 4)),
        ("postgres://127.0.0.1/gramil", 64, Workers(4, 4)),
    ],
)
def test_one_process_serves_where_there_is_one_writer(database_url, cores, workers):
    assert serving.choose_workers(database_url=database_url, cores=cores) == workers


def test_on_loopback_pages_answer_to_local_names_only():
    assert serving.allowed_hosts("127.0.0.1") == ["localhost", "127.0.0.1", "[::1]"]


def test_on_the_network_pages_answer_to_the_name_of_the_machine(monkeypatch):
    monkeypatch.setattr(socket, "gethostname", lambda: "Bench")
    hosts = serving.allowed_hosts("0.0.0.0")
    assert "bench" in hosts
    assert "*" not in hosts


@pytest.mark.parametrize(
    ("host", "url"),
    [("0.0.0.0", "http://192.0.2.7:8000/"), ("fd00::7", "http://[fd00::7]:8000/")],
)
def test_serving_a_network_tells_the_address_and_the_risk(monkeypatch, host, url):
    monkeypatch.setattr(serving, "names_of_this_machine", lambda: ["bench", "192.0.2.7"])
    told = serving.explain_network(Address(host, 8000))
    assert url in told
    assert "nothing is encrypted" in told


def test_only_an_answer_counts_as_serving(listener):
    class Refuse(http.server.BaseHTTPRequestHandler):
        def do_GET(self):
            self.send_error(503)

        def log_message(self, *_):
            pass

    port = listener.getsockname()[1]
    listener.close()
    address = Address("127.0.0.1", port)
    assert not serving.answers(address)
    with http.server.HTTPServer(("127.0.0.1", port), Refuse) as server:
        threading.Thread(target=server.handle_request).start()
        assert serving.answers(address)


@pytest.mark.parametrize(
    ("wanted", "screen", "opened"),
    [(True, ":0", 1), (False, ":0", 0), (True, "", 0)],
    ids=["wanted", "not wanted", "no screen"],
)
def test_a_browser_opens_only_where_it_is_wanted_and_seen(
    monkeypatch, capsys, wanted, screen, opened
):
    urls = []
    monkeypatch.setattr(serving, "answers", lambda address: True)
    monkeypatch.setattr(serving.sys, "platform", "linux")
    monkeypatch.delenv("WAYLAND_DISPLAY", raising=False)
    monkeypatch.setenv("DISPLAY", screen)
    monkeypatch.setattr(serving.webbrowser, "open", urls.append)
    serving._greet(Address("127.0.0.1", 8000), browser=wanted)
    assert "Gramil is ready at http://127.0.0.1:8000/" in capsys.readouterr().out
    assert len(urls) == opened
