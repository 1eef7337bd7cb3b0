"""Every address of the program, filled in with something that its pattern allows."""

import re
from dataclasses import dataclass
from typing import Any

from django.urls import URLPattern, get_resolver

PART = re.compile(r"(?<!P)<(?:(\w+):)?(\w+)>|\(\?P<(\w+)>([^()]*)\)")
FILLED = {
    "int": "1", "str": "x", "slug": "x", "day": "2027-03-16", "kind": "stage", "word": "agreed",
    "path": "x",
}  # fmt: skip
"""What stands for each kind of part of an address."""


@dataclass(frozen=True)
class Address:
    """One pattern of the address map."""

    name: str
    route: str
    view: Any

    @property
    def is_api(self):
        return self.route.startswith("api/")

    def path(self, **parts):
        """Return a path, its parts as given or anything that fits."""
        plain = self.route.replace("^", "").replace("$", "").replace("\\.", ".").replace("\\Z", "")
        return "/" + PART.sub(lambda found: fill(found, parts), plain)


def fill(found, parts):
    kind, name, matched, regex = found.groups()
    if (name or matched) in parts:
        return str(parts[name or matched])
    if regex is None:
        return FILLED[kind or "str"]
    return regex.split("|")[0] if re.fullmatch(r"[\w|]+", regex) else "1"


def addresses():
    """Return every pattern of pages and API."""
    return list(walk(get_resolver().url_patterns, ""))


def walk(patterns, prefix):
    for pattern in patterns:
        route = prefix + str(pattern.pattern)
        if isinstance(pattern, URLPattern):
            yield Address(pattern.name or route, route, pattern.callback)
        else:
            yield from walk(pattern.url_patterns, route)
