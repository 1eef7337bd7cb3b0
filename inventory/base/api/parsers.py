"""JSON as the API takes it: no deeper than any request needs, and of text that can be kept."""

from collections.abc import Mapping
from typing import IO, Any

from rest_framework.exceptions import ParseError
from rest_framework.parsers import JSONParser

MOST_DEEP = 20
TOO_DEEP = f"The request is nested more than {MOST_DEEP} levels deep: send it flatter."
HALF_A_CHARACTER = (
    "The request holds half a character: \\ud800 to \\udfff stand in pairs, a high one first."
)


class NotPlain(ParseError):
    """JSON that can be read and not be worked with; its detail is a sentence of ours."""


class PlainJSONParser(JSONParser):
    """Reads JSON, and refuses what would break whoever works with it later."""

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        try:
            data = super().parse(stream, media_type, parser_context)
        except RecursionError:
            raise NotPlain(TOO_DEEP) from None
        check_plain(data)
        return data


def check_plain(data: Any) -> None:
    """Raise NotPlain for what is nested too deep, or holds half a character (RFC 8259, 8.2)."""
    level = [data]
    for _ in range(MOST_DEEP + 1):
        if not level:
            return
        level = [inner for outer in level for inner in _inside(outer)]
    raise NotPlain(TOO_DEEP)


def _inside(data: Any) -> list[Any]:
    if isinstance(data, str):
        _check_text(data)
    elif isinstance(data, dict):
        return [*data, *data.values()]
    elif isinstance(data, list):
        return data
    return []


def _check_text(text: str) -> None:
    try:
        text.encode()
    except UnicodeEncodeError:
        raise NotPlain(HALF_A_CHARACTER) from None
