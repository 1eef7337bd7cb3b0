"""A client that is generated from the description alone, as somebody would who has nothing else."""

import json
import os
import subprocess
import sys
from pathlib import Path

import httpx
import pytest
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.renderers import OpenApiJsonRenderer

from shop.devices.services import add_device
from shop.wsgi import application


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
def stranger(generated, posy, monkeypatch):
    """A generated client with the token of a device of Posy's, that reaches the program."""
    monkeypatch.syspath_prepend(generated[0])
    from gramil_client import AuthenticatedClient

    _, token = add_device(user=posy, name="a stranger's program")
    client = AuthenticatedClient(base_url="http://testserver", token=token, prefix="Token")
    transport = httpx.WSGITransport(app=application)
    return client.set_httpx_client(
        httpx.Client(
            transport=transport,
            base_url="http://testserver",
            headers={"Authorization": f"Token {token}"},
        )
    )
