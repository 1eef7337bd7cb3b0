"""A start on a database in bad health: told in a sentence with the way back, nothing changed."""

import sqlite3
from contextlib import closing

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.db.migrations import CreateModel, Migration
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.state import ProjectState
from django.db.models import BigAutoField, IntegerField

from inventory.models import Place
from shop.base.migrating import WholeSteps, ends_of
from shop.copies.documents.sealing import is_sealed
from shop.launch import datafolder, preparing
from shop.launch.telling import Problem


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "gramil.sqlite3"
    with closing(sqlite3.connect(path)) as database:
        database.execute("CREATE TABLE lots (number TEXT)")
        database.executemany(
            "INSERT INTO lots VALUES (?)", [(f"T-{n:04}" * 50,) for n in range(999)]
        )
        database.commit()
    return path


def test_a_healthy_database_passes(file):
    assert preparing.quick_fault(file) == ""


@pytest.mark.parametrize(
    "damage",
    [lambda data: b"no database" * 900, lambda data: data[:9000] + b"\xff" * 9000 + data[18000:]],
    ids=["overwritten", "a hole in it"],
)
def test_a_damaged_one_is_told_with_the_last_copy(file, tmp_path, damage):
    file.write_bytes(damage(file.read_bytes()))
    fault = preparing.quick_fault(file)
    assert fault
    for day in ("2027-03-15", "2027-03-16"):
        (tmp_path / f"gramil-{day}-090000.zip").touch()
    told = preparing.explain_damage(fault, file, tmp_path)
    assert "is damaged" in told
    assert "gramil-2027-03-16-090000.zip" in told


def test_a_check_that_takes_too_long_is_left_to_the_copy(file, monkeypatch):
    monkeypatch.setattr(preparing, "CHECK_S", -1)
    with closing(sqlite3.connect(file)) as database:
        database.executemany("INSERT INTO lots VALUES (?)", [("x" * 200,) for _ in range(99_999)])
        database.commit()
    assert preparing.quick_fault(file) == ""


def test_a_second_server_on_a_folder_is_refused(tmp_path, monkeypatch):
    monkeypatch.delenv("DATABASE_URL", raising=False)
    told = pytest.raises(Problem, match="already runs with the data folder")
    with datafolder.refuse_second_server(tmp_path), told:
        datafolder.refuse_second_server(tmp_path)
    with datafolder.refuse_second_server(tmp_path):
        pass


def test_over_postgresql_several_may_serve(tmp_path, monkeypatch):
    monkeypatch.setenv("DATABASE_URL", "postgres://books")
    with datafolder.refuse_second_server(tmp_path), datafolder.refuse_second_server(tmp_path):
        pass


def test_where_copies_are_kept_is_remembered_beside_the_version(tmp_path):
    assert datafolder.copies_named(tmp_path) == tmp_path / "copies"
    datafolder.mark(tmp_path, version="1.2")
    datafolder.name_copies(tmp_path, tmp_path / "other disk")
    datafolder.mark(tmp_path, version="1.3")
    assert datafolder.copies_named(tmp_path) == tmp_path / "other disk"
    assert datafolder.last_version(tmp_path) == "1.3"


class CutOff(BaseException):
    """The process was killed here."""


@pytest.fixture
def one_step_back(transactional_db):
    executor = MigrationExecutor(connection)
    [last] = executor.loader.graph.leaf_nodes("quotes")
    executor.migrate(ends_of(executor, set(executor.loader.applied_migrations) - {last}))
    yield last
    MigrationExecutor(connection).migrate([last])


class Odd(Migration):
    """A step that makes a table and an index, which Django adds after the rest."""

    operations = [
        CreateModel(
            "Odd", [("id", BigAutoField(primary_key=True)), ("at", IntegerField(db_index=True))]
        )
    ]


@pytest.mark.parametrize(
    ("kind", "is_left"), [(WholeSteps, False), (MigrationExecutor, True)], ids=["ours", "Django's"]
)
def test_a_step_that_is_cut_off_leaves_no_table_behind(
    kind, is_left, transactional_db, monkeypatch
):
    def killed(self, migration):
        raise CutOff

    monkeypatch.setattr(MigrationExecutor, "record_migration", killed)
    with pytest.raises(CutOff):
        kind(connection).apply_migration(ProjectState(), Odd("9999_odd", "shop"))
    try:
        assert ("shop_odd" in connection.introspection.table_names()) is is_left
    finally:
        with connection.cursor() as cursor:
            cursor.execute("DROP TABLE IF EXISTS shop_odd")


def by_hand(*words):
    call_command("migrate", *words, verbosity=0)


UPDATES = pytest.mark.parametrize("update", [preparing.update_database, by_hand])


@pytest.fixture
def kept_in(settings, tmp_path):
    settings.DATA_DIR = settings.COPIES_DIR = tmp_path
    return tmp_path


@UPDATES
def test_before_an_update_a_copy_of_the_books_is_kept(
    update, one_step_back, workshop, kept_in, capsys
):
    Place.objects.create(name="Attic")
    update()
    [kept] = kept_in.glob("before-update-*.zip")
    said = capsys.readouterr().err
    assert f"before the update: {kept}" in said
    assert f"--from {kept}" in said
    assert one_step_back in MigrationExecutor(connection).loader.applied_migrations


@UPDATES
def test_an_empty_database_is_updated_without_one(update, one_step_back, kept_in):
    update()
    assert list(kept_in.iterdir()) == []


@UPDATES
def test_where_nothing_is_to_be_updated_no_copy_is_kept(
    update, transactional_db, workshop, kept_in, capsys
):
    update()
    assert list(kept_in.iterdir()) == []
    assert capsys.readouterr().err == ""


def test_a_step_back_by_hand_keeps_one_too(one_step_back, workshop, kept_in):
    by_hand()
    by_hand("quotes", "zero", "--plan")
    assert len(list(kept_in.glob("before-update-*"))) == 1
    app, _ = one_step_back
    [before] = ends_of(MigrationExecutor(connection), _before(one_step_back))
    for kept in kept_in.glob("before-update-*"):
        kept.unlink()
    by_hand(app, before[1])
    assert len(list(kept_in.glob("before-update-*"))) == 1


def _before(step):
    executor = MigrationExecutor(connection)
    node = executor.loader.graph.node_map[step]
    return {parent.key for parent in node.parents if parent.key[0] == step[0]}


def test_a_copy_before_an_update_is_locked_as_the_others_are(
    one_step_back, workshop, settings, kept_in
):
    (kept_in / "phrase").write_text("spruce and quarter sawn")
    settings.COPIES_PASSPHRASE_FILE = str(kept_in / "phrase")
    by_hand()
    [kept] = kept_in.glob("before-update-*")
    assert is_sealed(kept)


def test_no_update_begins_where_no_copy_can_be_kept(one_step_back, workshop, settings, kept_in):
    settings.COPIES_DIR = kept_in / "file"
    settings.COPIES_DIR.touch()
    with pytest.raises(CommandError, match="update was not begun"):
        by_hand()
    assert one_step_back not in MigrationExecutor(connection).loader.applied_migrations
