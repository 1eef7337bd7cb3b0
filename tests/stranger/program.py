"""A stranger's program: it calls operations by name, with the typed classes of its client."""

import inspect
from datetime import date, datetime
from importlib import import_module

import httpx

from shop.wsgi import application
from tests.described import check


class DescribedTransport(httpx.WSGITransport):
    """The way to the program; no answer passes that isn't described."""

    def handle_request(self, request):
        answer = super().handle_request(request)
        body = answer.read()
        kind = answer.headers.get("Content-Type", "") if body else ""
        check(request.method.lower(), request.url.path, answer.status_code, kind, body)
        return answer


class Program:
    """`program("quotes_issue", 3)` asks the operation of that name and returns what it answers.

    Fields of a body are given by their names, as JSON has them; days and instants as they are.
    `headers` of the latest answer are kept.
    """

    def __init__(self, folder, token):
        from gramil_client import AuthenticatedClient

        where = folder / "gramil_client"
        self.modules = {
            path.stem: ".".join(path.relative_to(folder).with_suffix("").parts)
            for path in where.glob("api/*/*.py")
        }
        address, headers = "http://testserver", {"Authorization": f"Token {token}"}
        client = AuthenticatedClient(base_url=address, token=token, prefix="Token")
        self.client = client.set_httpx_client(
            httpx.Client(
                transport=DescribedTransport(app=application), base_url=address, headers=headers
            )
        )
        self.headers = {}

    def __call__(self, operation, *keys, expect=(200, 201, 204), header=(), **asked):
        module = import_module(self.modules[operation])
        taken = inspect.signature(module.sync_detailed).parameters
        given = dict(header)
        if "body" in taken:
            kinds = [taken["body"].annotation, *getattr(taken["body"].annotation, "__args__", ())]
            kind = next(one for one in kinds if hasattr(one, "from_dict"))
            given["body"] = kind.from_dict(plain(asked))
        else:
            given |= asked
        answer = module.sync_detailed(*keys, client=self.client, **given)
        expected = (expect,) if isinstance(expect, int) else expect
        assert answer.status_code in expected, (operation, answer.status_code, answer.content)
        self.headers = answer.headers
        return answer.parsed

    def edit(self, operation, key, **asked):
        """Read the row behind `operation`, then edit it as of what was read."""
        self(f"{operation.rpartition('_')[0]}_read", key)
        return self(operation, key, header={"if_match": self.headers["ETag"]}, **asked)


def plain(value):
    """Return what JSON has for days and instants, wherever they stand."""
    if isinstance(value, dict):
        return {name: plain(inner) for name, inner in value.items()}
    if isinstance(value, list):
        return [plain(inner) for inner in value]
    return value.isoformat() if isinstance(value, date | datetime) else value
