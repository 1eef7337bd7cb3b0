"""A real mail server on this machine, and what it was handed."""

import socket
from contextlib import contextmanager
from email import message_from_bytes, policy

from aiosmtpd.controller import Controller


class Post:
    """Keeps every message; says no to whom it is told to say no to."""

    def __init__(self):
        self.envelopes = []
        self.refused = set()

    async def handle_RCPT(self, server, session, envelope, address, options):
        if address in self.refused:
            return "550 No such mailbox here"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server, session, envelope):
        self.envelopes.append(envelope)
        return "250 Taken"

    @property
    def messages(self):
        return [
            message_from_bytes(envelope.content, policy=policy.default)
            for envelope in self.envelopes
        ]


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


@contextmanager
def post_office(settings):
    """Open a mail server and set it as the maker's account."""
    post = Post()
    controller = Controller(post, hostname="127.0.0.1", port=free_port())
    controller.start()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", controller.port
    settings.HAS_MAIL_ACCOUNT = True
    try:
        yield post
    finally:
        controller.stop()
