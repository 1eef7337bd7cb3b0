"""No answer leaves the rest of a request in the connection, where the next one would start."""

import io

import pytest

from shop.wsgi import MOST_READ_ON, body_read_on


def left_after(body, *, read=0, says=None):
    given = io.BytesIO(body)

    def answer(environ, start_response):
        environ["wsgi.input"].read(read)
        return [b"No."]

    length = str(len(body)) if says is None else says
    environ = {"wsgi.input": given, "CONTENT_LENGTH": length}
    assert list(body_read_on(answer)(environ, None)) == [b"No."]
    return len(given.read())


@pytest.mark.parametrize("read", [0, 10, 50_000], ids=["nothing", "some", "all"])
def test_what_was_not_read_is_read_on(read):
    assert left_after(b"x" * 50_000, read=read) == 0


def test_a_body_that_nobody_should_wait_for_is_left():
    assert left_after(b"x" * 10, says=str(MOST_READ_ON + 1)) == 10


@pytest.mark.parametrize("says", ["", "many", "-5"])
def test_a_request_without_a_length_is_answered(says):
    assert left_after(b"", says=says) == 0
