"""From the description a client can be generated that leaves nothing out."""

import subprocess
import sys

from openapi_spec_validator import OpenAPIV31SpecValidator

METHODS = {"get", "post", "put", "patch", "delete"}
VERBS = {
    "accept", "add", "admit", "adopt", "announce", "arrange", "aside", "back", "book", "cancel",
    "change", "close", "copy", "cover", "end",
    "correct", "count", "create", "credit", "cut", "decide", "decline", "delete", "draw", "edit",
    "finish", "hold", "invoice", "issue", "join", "judge", "leave", "list", "lose", "make", "mark",
    "materials", "move", "pay", "void",
    "name", "note", "off", "open", "out", "pair", "price", "promise", "read", "release", "remove",
    "reopen", "replace", "return", "reveal", "revise", "scrap", "sell", "send", "set", "settle",
    "specification", "split", "start", "stop", "switch", "take", "try", "undo", "withdraw",
}  # fmt: skip
"""The last word of an operation's name: a verb, or what belongs to one (`take_back`)."""


def operations(described):
    return [
        (f"{method} {path}", operation)
        for path, item in described["paths"].items()
        for method, operation in item.items()
        if method in METHODS
    ]


def test_the_description_is_a_valid_one(described):
    problems = OpenAPIV31SpecValidator(described).iter_errors()
    assert [f"{one.message} {list(one.path)}" for one in problems] == []


def keys_of(part):
    if isinstance(part, dict):
        yield from part
        part = list(part.values())
    if isinstance(part, list):
        for inner in part:
            yield from keys_of(inner)


def test_nothing_of_an_older_version_stands_in_the_description(described):
    assert described["openapi"].startswith("3.1.")
    assert "nullable" not in set(keys_of(described))


def test_no_operation_and_no_answer_is_left_out_of_a_generated_client(described, generated):
    folder, said = generated
    assert "WARNING" not in said
    assert "ERROR" not in said
    written = {path.stem for path in folder.glob("gramil_client/api/*/*.py")}
    assert {one["operationId"] for _, one in operations(described)} - written == set()


def test_a_generated_client_has_the_types_it_says(generated):
    folder, _ = generated
    checked = subprocess.run(
        [
            *(sys.executable, "-m", "mypy", "--strict", "--config-file=", "-p", "gramil_client"),
            *("--cache-dir", folder / "types"),
        ],
        capture_output=True,
        text=True,
        cwd=folder,
        check=False,
    )
    # How a client opens and closes is the generator's own text, whatever is described.
    ours = [line for line in checked.stdout.splitlines() if "error" in line]
    assert [
        line for line in ours if not line.startswith(("gramil_client/client.py", "Found"))
    ] == []
    assert "checked" in checked.stdout, checked.stdout + checked.stderr


def test_operations_are_named_by_what_they_do(described):
    names = [one["operationId"] for _, one in operations(described)]
    assert len(names) == len(set(names))
    assert {name for name in names if name.rsplit("_", 1)[-1] not in VERBS} == set()


def test_choices_have_names_of_their_own(described):
    schemas = described["components"]["schemas"]
    assert {name for name in schemas if name.endswith("Enum")} == set()


def test_files_are_described_as_bytes_too(described):
    for name, one in operations(described):
        content = one["responses"].get("200", {}).get("content", {})
        if "application/pdf" in content or "image/jpeg" in content:
            assert "application/octet-stream" in content, name
