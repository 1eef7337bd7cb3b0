import errno
import subprocess
import sys

import pytest

from shop.launch import commands
from shop.launch.datafolder import DEFAULT
from shop.launch.requirements import ROOT
from shop.launch.telling import Problem


def test_without_a_command_the_first_ones_are_shown(capsys):
    assert commands.main([]) == 0
    assert "python3 manage.py start" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("argv", "name"),
    [
        (["start", "--demo"], "start"),
        (["test", "-k", "stock"], "test"),
        (["migrate"], "administer"),
    ],
)
def test_each_command_goes_to_whoever_does_it(monkeypatch, argv, name):
    monkeypatch.setattr(commands, name, lambda rest: rest)
    assert commands.run(argv) == (argv if name == "administer" else argv[1:])


@pytest.mark.parametrize(
    ("error", "code", "told"),
    [
        (Problem("No font."), 1, "No font.\n"),
        (KeyboardInterrupt(), 130, "Stopped.\n"),
        (OSError(errno.ENOSPC, "full"), 1, "The disk is full: make room"),
    ],
    ids=["problem", "interrupted", "disk full"],
)
def test_what_goes_wrong_is_one_line_and_an_exit_code(monkeypatch, capsys, error, code, told):
    def fail(argv):
        raise error

    monkeypatch.setattr(commands, "run", fail)
    assert commands.main(["start"]) == code
    assert capsys.readouterr().err.startswith(told)


def test_an_unforeseen_error_is_not_hidden(monkeypatch):
    def fail(argv):
        raise OSError(errno.EIO, "broken disk")

    monkeypatch.setattr(commands, "run", fail)
    with pytest.raises(OSError, match="broken disk"):
        commands.main(["start"])


def test_start_listens_on_this_machine_only_unless_told(monkeypatch):
    monkeypatch.delenv("GRAMIL_DATA", raising=False)
    options = commands.start_options([])
    assert (options.host, options.port, options.data) == ("127.0.0.1", 8000, DEFAULT)
    assert options.browser
    assert not options.demo


def test_start_takes_all_its_options(tmp_path):
    line = f"--demo --port 81 --data {tmp_path} --host 0.0.0.0 --no-browser"
    options = commands.start_options(line.split())
    assert (options.host, options.port, options.data) == ("0.0.0.0", 81, tmp_path)
    assert options.demo
    assert not options.browser


def test_the_data_folder_may_come_from_the_environment(monkeypatch, tmp_path):
    monkeypatch.setenv("GRAMIL_DATA", str(tmp_path))
    assert commands.start_options([]).data == tmp_path


@pytest.mark.parametrize("text", ["0", "65536", "-1", "web"])
def test_a_port_that_is_none_is_refused(capsys, text):
    with pytest.raises(SystemExit):
        commands.start_options([f"--port={text}"])
    assert "is not a port number from 1 to 65535" in capsys.readouterr().err


@pytest.mark.parametrize("version", [(3, 10, 4), (3, 6, 15), (2, 7, 18)])
def test_an_older_python_is_told_which_one_is_needed(version):
    pretend = (
        f"import sys, runpy; sys.version_info = {version!r}; sys.argv = ['manage.py', 'start']; "
        "runpy.run_path('manage.py', run_name='__main__')"
    )
    tried = subprocess.run(
        [sys.executable, "-c", pretend], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert tried.returncode == 1
    assert tried.stderr.startswith("Gramil needs Python 3.11 or newer")
    assert "Traceback" not in tried.stderr
