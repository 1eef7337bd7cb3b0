import sys

import pytest

from shop.launch.installing import explain_failure, install
from shop.launch.telling import Problem


def fake_python(tmp_path, body):
    """Return a program that prints what pip would."""
    program = tmp_path / "python"
    program.write_text(f"#!{sys.executable}\nimport sys\n{body}\n")
    program.chmod(0o755)
    return program


def test_waiting_is_told_library_by_library(tmp_path, capsys):
    lines = "Collecting pint<1,>=0.25\\nDownloading pint.whl\\nInstalling collected packages: pint"
    install(fake_python(tmp_path, f"print('{lines}')"), ["pint>=0.25,<1"])
    assert capsys.readouterr().err.splitlines() == [
        "Installing 1 libraries and what they need; this takes a minute or two.",
        "  fetching pint",
        "  unpacking all of it, the longest step",
    ]


def test_pip_gets_the_whole_list(tmp_path):
    python = fake_python(tmp_path, "sys.exit('ERROR: ' + ' '.join(sys.argv[1:4] + sys.argv[-2:]))")
    with pytest.raises(Problem, match="-m pip install pint babel"):
        install(python, ["pint", "babel"])


def test_versions_are_those_that_were_tested(tmp_path):
    python = fake_python(tmp_path, "sys.exit('ERROR: ' + ' '.join(sys.argv[8:]))")
    with pytest.raises(Problem, match=r"--constraint .*constraints\.txt pint$"):
        install(python, ["pint"])


def test_where_they_do_not_fit_others_are_taken(tmp_path, capsys):
    fails = "print('ERROR: No matching distribution found for pint==0.25')"
    python = fake_python(tmp_path, f"if '--constraint' in sys.argv: {fails}; sys.exit(1)")
    install(python, ["pint"])
    assert "do not fit this Python" in capsys.readouterr().err


def test_a_failing_pip_becomes_a_problem(tmp_path):
    python = fake_python(tmp_path, "print('OSError: [Errno 28] No space left'); sys.exit(1)")
    with pytest.raises(Problem, match="The disk is full"):
        install(python, ["pint"])


@pytest.mark.parametrize(
    ("output", "sentence"),
    [
        ("ERROR: Could not install: [Errno 28] No space left on device", "The disk is full"),
        (
            "WARNING: Retrying (Retry(total=0)) after 'NewConnectionError(...)'\n"
            "ERROR: Could not find a version that satisfies the requirement Django",
            "the package index does not answer",
        ),
        ("ERROR: one\nERROR: No matching distribution found for lute", "No matching distribution"),
        ("", "it gave no reason"),
    ],
    ids=["no room", "no network", "pip's last error", "silence"],
)
def test_a_failure_is_told_in_one_sentence(output, sentence):
    told = explain_failure(output)
    assert sentence in told
    assert "\n" not in told
