import os

import pytest
from django.contrib.auth.models import User
from django.core import management
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder

from shop.launch import preparing
from shop.launch.telling import Problem


@pytest.mark.django_db
def test_an_up_to_date_database_is_left_alone(capsys):
    preparing.update_database()
    assert capsys.readouterr().err == ""


@pytest.mark.django_db
def test_a_database_of_a_newer_version_is_refused_before_anything_is_done():
    MigrationRecorder(connection).record_applied("shop", "9999_of_another_year")
    with pytest.raises(Problem, match=r"newer Gramil \(it has shop\.9999_of_another_year"):
        preparing.update_database()


def test_only_this_programs_own_migrations_tell_its_age():
    known = {("shop", "0001_a"), ("auth", "0001_b")}
    assert preparing.unknown_migrations(known | {("auth", "0099_z")}, known) == []
    assert preparing.unknown_migrations(known | {("quotes", "0002_c")}, known) == ["quotes.0002_c"]


@pytest.fixture
def gathered(monkeypatch, settings, tmp_path):
    """A folder for the files of the pages; each gathering is written down."""
    settings.STATIC_ROOT = tmp_path
    calls = []
    monkeypatch.setattr(management, "call_command", lambda name, **_: calls.append(name))
    return calls


def test_files_of_the_pages_are_gathered_once(gathered):
    preparing.collect_static()
    preparing.collect_static()
    assert gathered == ["collectstatic"]


@pytest.mark.parametrize("change", ["altered", "added", "removed"])
def test_files_of_the_pages_are_gathered_again_after_a_change(gathered, settings, tmp_path, change):
    source = tmp_path / "source"
    source.mkdir()
    (source / "ink.css").write_text("a {}")
    settings.STATICFILES_DIRS = [source]
    preparing.collect_static()
    if change == "altered":
        (source / "ink.css").write_text("a { }")
    elif change == "added":
        (source / "paper.css").write_text("")
    else:
        (source / "ink.css").unlink()
    preparing.collect_static()
    assert gathered == ["collectstatic"] * 2


@pytest.fixture
def demo(monkeypatch):
    """A program with a demo workshop; each loading is written down."""
    calls = []
    monkeypatch.setattr(management, "call_command", calls.append)
    monkeypatch.setattr(management, "get_commands", lambda: {"load_demo": "quotes"})
    return calls


@pytest.mark.django_db
def test_the_demo_is_loaded_into_an_unused_database(demo):
    preparing.load_demo()
    assert demo == ["load_demo"]


@pytest.mark.django_db
def test_the_demo_never_touches_a_workshop_in_use(demo, capsys):
    User.objects.create_user("posy")
    preparing.load_demo()
    assert demo == []
    assert "the demo was not loaded" in capsys.readouterr().err


@pytest.mark.django_db
def test_a_demo_that_refuses_is_told(demo, monkeypatch):
    def refuse(name):
        raise management.CommandError("There are clients already.")

    monkeypatch.setattr(management, "call_command", refuse)
    with pytest.raises(Problem, match="was not loaded: There are clients already"):
        preparing.load_demo()


@pytest.mark.django_db
def test_a_program_without_a_demo_says_so(monkeypatch):
    monkeypatch.setattr(management, "get_commands", dict)
    with pytest.raises(Problem, match="start without --demo"):
        preparing.load_demo()


@pytest.mark.parametrize(
    ("message", "sentence"),
    [
        ("database or disk is full", "The disk that holds the database is full"),
        ("file is not a database", "The database file is damaged"),
        ("database disk image is malformed", "The database file is damaged"),
        ("database is locked", "Another program is writing"),
        ("unable to open\n  database file", "does not work: unable to open database file"),
    ],
)
def test_what_the_database_says_becomes_one_sentence(monkeypatch, message, sentence):
    monkeypatch.delenv("DATABASE_URL", raising=False)
    assert sentence in preparing.explain_database(message)


def test_a_database_server_that_fails_is_named_by_where_it_was_given(monkeypatch):
    monkeypatch.setitem(os.environ, "DATABASE_URL", "postgres://127.0.0.1:1/none")
    told = preparing.explain_database("connection refused")
    assert "named in DATABASE_URL does not work (connection refused): correct it" in told


@pytest.mark.parametrize("url", ["gramil", "mysql://127.0.0.1/gramil"])
def test_a_kind_of_database_that_was_never_tried_is_refused(url):
    with pytest.raises(Problem, match="DATABASE_URL has to read like postgres://"):
        preparing.refuse_unknown_database(url)


@pytest.mark.parametrize("url", ["", "postgres://127.0.0.1/gramil", "sqlite:////srv/gramil.db"])
def test_databases_that_were_tried_are_taken(url):
    preparing.refuse_unknown_database(url)
