"""The shop's computer for tests: a server that can be stopped, started again, and set to a time."""

import contextlib
import socket
import threading
from datetime import UTC, datetime, timedelta
from socketserver import ThreadingMixIn
from wsgiref.simple_server import WSGIRequestHandler, WSGIServer

from django.core.wsgi import get_wsgi_application
from django.db import connections
from django.utils import timezone

real_now = timezone.now


class ThreadedServer(ThreadingMixIn, WSGIServer):
    """Answers each connection in a thread, and closes once every thread is done.

    A request that outlived its test would hold tables that the next test's clean start empties.
    """

    request_queue_size = 20

    def __init__(self, *given):
        super().__init__(*given)
        self.connected = set()

    def process_request(self, request, client_address):
        self.connected.add(request)
        super().process_request(request, client_address)

    def close_request(self, request):
        self.connected.discard(request)
        super().close_request(request)

    def server_close(self):
        for connection in self.connected.copy():  # such as one that a browser opened ahead of need
            with contextlib.suppress(OSError):
                connection.shutdown(socket.SHUT_RD)
        super().server_close()


class Listening(WSGIRequestHandler):
    protocol_version = "HTTP/1.1"

    def log_message(self, format, *args):
        self.server.lines.append(format % args)

    def handle(self):
        try:
            super().handle()
        except ConnectionError:
            pass
        finally:
            connections.close_all()


class ShopComputer:
    """`lines` is the server's log; `clock` shifts what the program takes for now."""

    def __init__(self):
        self.lines = []
        self.shift = timedelta(0)
        self.port = 0
        self.start()

    @property
    def url(self):
        return f"http://127.0.0.1:{self.port}"

    def start(self):
        self.server = ThreadedServer(("127.0.0.1", self.port), Listening)
        self.server.set_app(get_wsgi_application())
        self.server.lines = self.lines
        self.port = self.server.server_port
        threading.Thread(target=self.server.serve_forever, args=(0.05,), daemon=True).start()

    def stop(self):
        self.server.shutdown()
        self.server.server_close()

    def now(self):
        return real_now() + self.shift

    def set_clock(self, at):
        """Let it be `at`, such as `2027-03-16 18:05`, for the program from here on."""
        self.shift = datetime.fromisoformat(at).replace(tzinfo=UTC) - real_now()
