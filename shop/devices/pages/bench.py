"""The bench page of the phone: one shell, its service worker and its manifest.

What the page shows comes over the API with the phone's own token, so the shell is the same for
everybody and needs no login.
"""

import hashlib
import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.template.loader import get_template

SHELL = "/bench/"
BESIDE = ("tokens.css", "favicon.svg")
TEMPLATES = ("shop/devices/shell.html", "shop/devices/sw.js")
COLOURS = {"background_color": "#f6f1e6", "theme_color": "#f6f1e6"}


@dataclass(frozen=True, slots=True)
class Files:
    """The files of the page by their addresses, and a version that changes with any of them."""

    paths: tuple[str, ...]
    version: str

    @property
    def modules(self) -> list[str]:
        return [path for path in self.paths if path.endswith(".js") and "theme" not in path]


@login_not_required
def bench(request: HttpRequest, number: str = "") -> HttpResponse:
    """Return the shell, whatever screen the address asks for."""
    found = bench_files()
    context = {"version": found.version, "root": _root(), "modules": found.modules}
    answer = render(request, "shop/devices/shell.html", context)
    answer["Cache-Control"] = "no-cache"
    return answer


@login_not_required
def service_worker(request: HttpRequest) -> HttpResponse:
    """Return the service worker, which lists every file that it keeps."""
    found = bench_files()
    context = {"version": found.version, "files": json.dumps([SHELL, *found.paths])}
    answer = render(request, "shop/devices/sw.js", context, content_type="text/javascript")
    answer["Cache-Control"] = "no-cache"
    return answer


@login_not_required
def manifest(request: HttpRequest) -> HttpResponse:
    """Return what a phone needs to install the page."""
    icons = [_icon(size, purpose) for size in (192, 512) for purpose in ("any", "maskable")]
    body = {
        "id": SHELL,
        "name": "Bench",
        "short_name": "Bench",
        "description": "Hours, stock and set-up readings at the bench.",
        "start_url": SHELL,
        "scope": SHELL,
        "display": "standalone",
        "icons": icons,
        **COLOURS,
    }
    return JsonResponse(body, content_type="application/manifest+json")


def _icon(size: int, purpose: str) -> dict[str, str]:
    path = f"{_root()}bench/icon-{size}.png"
    sizes = f"{size}x{size}"
    return {"src": path, "sizes": sizes, "type": "image/png", "purpose": purpose}


@cache
def bench_files() -> Files:
    """Return the page's files. Read once: a new version of the program is a new process."""
    folder = Path(str(finders.find("shop/bench")))
    own = sorted(path for path in folder.iterdir() if path.suffix in {".js", ".css", ".png"})
    beside = [folder.parent / name for name in BESIDE]
    digest = hashlib.sha256()
    for path in [*own, *beside, *map(_template, TEMPLATES)]:
        digest.update(path.name.encode() + path.read_bytes())
    paths = [f"{_root()}bench/{path.name}" for path in own]
    paths += [f"{_root()}{name}" for name in BESIDE]
    return Files(paths=tuple(paths), version=digest.hexdigest()[:12])


def _template(name: str) -> Path:
    origin: Any = get_template(name).origin  # type: ignore[attr-defined]
    return Path(origin.name)


def _root() -> str:
    """Return the address of the shop's files under their plain names: modules import those."""
    return f"{settings.STATIC_URL}shop/"
