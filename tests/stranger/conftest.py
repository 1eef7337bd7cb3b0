"""A client that is generated from the description alone, as somebody would who has nothing else."""

import json
import os
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.core.signals import request_finished, request_started
from django.db import close_old_connections
from django.utils import timezone
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.renderers import OpenApiJsonRenderer

from shop.devices.services import add_device
from tests.stranger.program import Program


@pytest.fixture(scope="session")
def described():
    """The description as it is sent."""
    return json.loads(OpenApiJsonRenderer().render(SchemaGenerator().get_schema(public=True)))


@pytest.fixture(scope="session")
def generated(described, tmp_path_factory):
    """The folder with the package `gramil_client`, and what its generator said."""
    folder = tmp_path_factory.mktemp("generated")
    (folder / "description.json").write_text(json.dumps(described))
    tools = Path(sys.executable).parent
    said = subprocess.run(
        [
            *(sys.executable, "-m", "openapi_python_client", "generate", "--meta", "none"),
            *("--path", folder / "description.json", "--output-path", folder / "gramil_client"),
        ],
        capture_output=True,
        text=True,
        check=False,
        env=os.environ | {"PATH": f"{tools}:{os.environ['PATH']}"},
    )
    return folder, said.stdout + said.stderr


@pytest.fixture
def clock(monkeypatch):
    """Set the server's clock by calling it; it begins on 2 March 2027."""

    def stands_at(now):
        monkeypatch.setattr(timezone, "now", lambda: now)

    stands_at(datetime(2027, 3, 2, 10, tzinfo=UTC))
    return stands_at


@pytest.fixture
def program(generated, posy, clock, monkeypatch, settings, tmp_path):
    """A stranger's program with a token of Posy's."""
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.syspath_prepend(generated[0])
    _, token = add_device(user=posy, name="a program", now=timezone.now(), rights="all")
    # A real server closes connections between requests; here they hold what the test has written.
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield Program(generated[0], token)
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)
