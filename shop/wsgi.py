"""The WSGI entry that a server loads."""

import os
from collections.abc import Callable, Iterable
from typing import Any

from django.core.wsgi import get_wsgi_application

Application = Callable[[dict[str, Any], Callable[..., Any]], Iterable[bytes]]
MOST_READ_ON = 4 * 1024 * 1024


def body_read_on(answer: Application) -> Application:
    """Read what an answer left of a request's body, up to 4 MB.

    A server ends the connection over an unread rest, and the next request on it is lost: behind a
    proxy, somebody else's.
    """

    def application(environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
        answered = answer(environ, start_response)
        if length_of(environ) <= MOST_READ_ON:
            while environ["wsgi.input"].read(1 << 16):
                pass
        return answered

    return application


def length_of(environ: dict[str, Any]) -> int:
    """Return how many bytes the body of a request says to have."""
    said = environ.get("CONTENT_LENGTH") or "0"
    return int(said) if said.isdecimal() else 0


os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
application = body_read_on(get_wsgi_application())
