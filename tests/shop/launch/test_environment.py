import json

import pytest

from shop.launch import environment
from shop.launch.requirements import fingerprint, requirements
from shop.launch.telling import Problem


class Started(Exception):
    """The process would have been replaced."""


@pytest.fixture
def outside(monkeypatch, tmp_path):
    """A Python that lacks the libraries, and no environment yet; what happens is written down."""
    happened = []
    folder = tmp_path / ".venv"
    monkeypatch.setattr(environment, "FOLDER", folder)
    monkeypatch.setattr(environment, "all_installed", lambda wanted: False)
    monkeypatch.setattr(environment, "runs", lambda statement: folder.exists())

    def create():
        folder.mkdir()
        happened.append("created")

    def start_over(argv):
        raise Started(argv)

    monkeypatch.setattr(environment, "create", create)
    monkeypatch.setattr(environment, "start_over", start_over)
    monkeypatch.setattr(
        environment, "install", lambda python, wanted: happened.append(f"installed {len(wanted)}")
    )
    return happened


def enter(*argv, tests=False):
    with pytest.raises(Started) as started:
        environment.enter_environment(list(argv), tests=tests)
    return started.value.args[0]


def test_a_python_that_has_everything_just_goes_on(monkeypatch, outside):
    monkeypatch.setattr(environment, "all_installed", lambda wanted: True)
    environment.enter_environment(["start"])
    assert outside == []


def test_a_missing_environment_is_made_and_filled_and_entered(outside):
    assert enter("start", "--demo") == ["start", "--demo"]
    assert outside == ["created", f"installed {len(requirements())}"]


def test_a_ready_environment_is_entered_at_once(outside):
    enter("start")
    outside.clear()
    enter("start")
    assert outside == []


def test_tests_add_their_libraries_to_an_environment_that_runs(outside):
    enter("start")
    enter("test", tests=True)
    assert outside[2:] == [f"installed {len(requirements(tests=True))}"]


def test_an_environment_for_tests_also_runs(outside):
    enter("test", tests=True)
    outside.clear()
    enter("start")
    assert outside == []


def test_a_changed_list_is_installed_again_into_the_same_environment(monkeypatch, outside):
    enter("start")
    outside.clear()
    monkeypatch.setattr(environment, "requirements", lambda tests=False: ["lute>=1"])
    enter("start")
    assert outside == ["installed 1"]


def test_an_interrupted_installation_is_taken_up_again(monkeypatch, outside):
    def fail(python, wanted):
        raise Problem("pip failed")

    with monkeypatch.context() as patched:
        patched.setattr(environment, "install", fail)
        with pytest.raises(Problem):
            environment.enter_environment(["start"])
    enter("start")
    assert outside == ["created", f"installed {len(requirements())}"]


def test_an_environment_whose_python_is_gone_is_made_anew(monkeypatch, outside):
    enter("start")
    outside.clear()
    environment.FOLDER.joinpath(environment.STAMP).rename(environment.FOLDER.parent / "kept")
    environment.FOLDER.rmdir()
    monkeypatch.setattr(environment, "_stamped", lambda: [fingerprint(requirements())])
    enter("start")
    assert outside[0] == "created"


@pytest.mark.parametrize("text", ["", "{", '{"a": 1}'], ids=["empty", "cut off", "not a list"])
def test_a_damaged_stamp_counts_as_none(outside, text):
    environment.FOLDER.mkdir()
    (environment.FOLDER / environment.STAMP).write_text(text)
    assert not environment.is_ready(requirements())


def test_the_stamp_names_what_is_installed(outside):
    enter("test", tests=True)
    stamped = json.loads((environment.FOLDER / environment.STAMP).read_text())
    assert fingerprint(requirements(tests=True)) in stamped


def test_without_room_nothing_is_made(monkeypatch, outside):
    monkeypatch.setattr(environment, "ROOM_TO_RUN_MB", 10**12)
    with pytest.raises(Problem, match="MB free and about 1000000000000 MB are needed"):
        environment.enter_environment(["start"])
    assert outside == []


def test_a_debian_without_venv_gets_the_line_to_run(monkeypatch):
    monkeypatch.setattr(environment.importlib.util, "find_spec", lambda name: None)
    monkeypatch.setattr(environment.system, "may_apt_install", lambda: False)
    with pytest.raises(Problem, match=r"run `.*apt-get install .* python3\.\d+-venv`"):
        environment.create()


def test_root_on_debian_gets_venv_installed(monkeypatch):
    missing = ["venv"]
    monkeypatch.setattr(environment, "has_venv_tools", lambda: not missing)
    monkeypatch.setattr(environment.system, "apt_install", lambda packages: missing.clear())
    environment._install_venv_tools()


def test_a_python_that_can_not_make_environments_tells_its_reason(monkeypatch, tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("")
    monkeypatch.setattr(environment, "FOLDER", blocked / ".venv")
    with pytest.raises(Problem, match=r"could not make .*Not a directory"):
        environment.create()


def test_a_python_that_is_not_there_runs_nothing(outside, monkeypatch):
    monkeypatch.undo()
    monkeypatch.setattr(environment, "FOLDER", environment.FOLDER / "nowhere")
    assert not environment.runs("pass")
