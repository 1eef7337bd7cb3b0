"""A typed client in TypeScript from the description: made by a generator, checked by the compiler.

Where node or its packages are not there, there is nothing to say; DEVELOPERS.md has the command.
"""

import json
import re
import shutil
import subprocess
from pathlib import Path

import pytest

HERE = Path(__file__).parent
PACKAGES = HERE.parent.parent / ".cache" / "node" / "node_modules"
NEEDED = ("openapi-typescript", "openapi-fetch", "typescript")
pytestmark = pytest.mark.skipif(
    not shutil.which("node") or not all((PACKAGES / name).is_dir() for name in NEEDED),
    reason="node, or one of its packages, is not installed",
)


@pytest.fixture(scope="module")
def written(described, tmp_path_factory):
    """The folder with the types of the description, and a program that uses them."""
    folder = tmp_path_factory.mktemp("typescript")
    (folder / "node_modules").symlink_to(PACKAGES)
    (folder / "description.json").write_text(json.dumps(described))
    # What has a default may be left out of a request.
    words = ("description.json", "-o", "gramil.d.ts", "--default-non-nullable=false")
    run(folder, "openapi-typescript", *words)
    shutil.copy(HERE / "typescript" / "program.ts", folder)
    return folder


def run(folder, tool, *words):
    done = subprocess.run(
        [PACKAGES / ".bin" / tool, *words], cwd=folder, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


def compiled(folder):
    run(folder, "tsc", "--noEmit", "--strict", "--target", "es2022", "--module", "nodenext",
        "program.ts")  # fmt: skip


def test_a_program_in_typescript_has_the_types_that_it_needs(written):
    compiled(written)


def test_every_operation_is_in_it(written, described):
    names = {
        one["operationId"]
        for item in described["paths"].values()
        for method, one in item.items()
        if method in {"get", "post", "put", "patch", "delete"}
    }
    types = (written / "gramil.d.ts").read_text()
    assert names - set(re.findall(r'operations\["(\w+)"\]', types)) == set()


def test_the_compiler_would_see_a_wrong_type(written):
    program = written / "program.ts"
    told = program.read_text()
    program.write_text(told.replace("since, is_archived: false", "since: 7, is_archived: false"))
    with pytest.raises(AssertionError, match="not assignable"):
        compiled(written)
    program.write_text(told)
