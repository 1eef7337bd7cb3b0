import os

import pytest

from shop.launch import system
from shop.launch.telling import Problem


@pytest.fixture
def machine(monkeypatch, tmp_path):
    """A Linux machine whose tools are what is put into the returned folder."""
    monkeypatch.setattr(system.sys, "platform", "linux")
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    return tmp_path


def put_tool(folder, name, body="exit 0"):
    tool = folder / name
    tool.write_text(f"#!/bin/sh\n{body}\n")
    tool.chmod(0o755)
    return tool


@pytest.mark.parametrize("name", ["a.ttf", "b.OTF", "c.pcf.gz"])
def test_one_font_in_a_folder_is_enough(machine, monkeypatch, name):
    folder = machine / "fonts/deep"
    folder.mkdir(parents=True)
    monkeypatch.setattr(system, "font_folders", lambda: [machine / "fonts"])
    assert not system.has_font()
    (folder / "readme.txt").write_text("")
    assert not system.has_font()
    (folder / name).write_text("")
    assert system.has_font()


def test_folders_that_the_machine_names_are_looked_into(monkeypatch, tmp_path):
    settings = tmp_path / "fonts.conf"
    settings.write_text('<fontconfig><dir>/opt/type</dir><dir prefix="xdg">fonts</dir>')
    monkeypatch.setattr(system, "FONT_SETTINGS", settings)
    assert "/opt/type" in map(str, system.font_folders())


def test_a_library_that_is_nowhere_does_not_load():
    assert not system._loads("no-such-library-9")


def test_a_machine_with_all_parts_installs_nothing(machine, monkeypatch, capsys):
    monkeypatch.setattr(system, "pango_loads", lambda: True)
    monkeypatch.setattr(system, "has_font", lambda: True)
    system.ensure_pdf_parts()
    assert capsys.readouterr().err == ""


def test_a_machine_without_a_font_gets_the_line_to_run(machine, monkeypatch):
    put_tool(machine, "apt-get")
    monkeypatch.setattr(system, "pango_loads", lambda: True)
    monkeypatch.setattr(system, "has_font", lambda: False)
    with pytest.raises(Problem, match=r"no font.*`sudo apt-get install .*fonts-dejavu-core`"):
        system.ensure_pdf_parts()


def test_a_machine_without_pango_is_told_and_goes_on(machine, monkeypatch, capsys):
    monkeypatch.setattr(system, "pango_loads", lambda: False)
    system.ensure_pdf_parts()
    assert "Documents can't be made as PDF until this is run" in capsys.readouterr().err


def test_root_on_debian_gets_the_parts_installed(machine, monkeypatch):
    font = machine / "font-is-there"
    put_tool(machine, "apt-get", f": > {font}")
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    monkeypatch.setattr(system, "pango_loads", lambda: True)
    monkeypatch.setattr(system, "has_font", font.exists)
    system.ensure_pdf_parts()
    assert font.exists()


def test_package_lists_are_fetched_when_an_installation_fails_without(machine, monkeypatch):
    lists = machine / "lists"
    log = machine / "log"
    put_tool(
        machine,
        "apt-get",
        f'echo "$1" >> {log}; [ "$1" = update ] && : > {lists}; [ -e {lists} ]',
    )
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    assert system.apt_install(["chromium"])
    assert log.read_text().split() == ["install", "update", "install"]


def test_nobody_but_root_installs(machine):
    log = machine / "log"
    put_tool(machine, "apt-get", f": > {log}")
    assert not system.apt_install(["chromium"])
    assert not log.exists()


def test_a_machine_without_chromium_is_told_that_browser_tests_can_not_run(
    machine, monkeypatch, capsys
):
    monkeypatch.setattr(system, "_loads", lambda name: name == "atomic")
    system.ensure_browser()
    told = capsys.readouterr().err
    assert "can't run until this is run: sudo apt-get install" in told
    assert told.strip().endswith("chromium libatomic1")
    put_tool(machine, "chromium")
    system.ensure_browser()
    assert capsys.readouterr().err == ""


def test_a_browser_that_can_not_be_driven_counts_as_none(machine, monkeypatch):
    put_tool(machine, "chromium")
    monkeypatch.setattr(system, "_loads", lambda name: False)
    assert not system.browser_runs()


@pytest.mark.parametrize(
    ("platform", "tool", "line"),
    [
        ("darwin", "brew", "brew install pango"),
        ("win32", "python", "pacman -S mingw-w64-ucrt-x86_64-pango (in the MSYS2 shell)"),
        ("linux", "dnf", "sudo dnf install pango dejavu-sans-fonts"),
        ("linux", "other", "your system's installer for the Pango library and the DejaVu fonts"),
    ],
)
def test_each_kind_of_machine_gets_its_own_line(machine, monkeypatch, platform, tool, line):
    monkeypatch.setattr(system.sys, "platform", platform)
    put_tool(machine, tool)
    assert system.pdf_line() == line


@pytest.mark.parametrize("platform", ["darwin", "win32"])
def test_other_systems_always_have_a_font(machine, monkeypatch, platform):
    monkeypatch.setattr(system.sys, "platform", platform)
    assert system.has_font()
