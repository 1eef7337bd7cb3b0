"""The drill: a whole shop is copied, destroyed and restored: every table, file and sum is back."""

import json
from hashlib import sha256
from zipfile import ZipFile

import pytest
from django.contrib.auth.models import User
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import connection
from django.utils import timezone

from inventory.base.refusals import Refusal
from inventory.models import Place, Workshop
from shop.archive.documents import everything_zip
from shop.base.migrating import WholeSteps, ends_of, tables_after
from shop.copies.documents.copy import BadCopy, check_copy
from shop.copies.queries import copied_models, kept_names, row_lines, tally
from shop.copies.services import BooksThere, keep_copy, restore_books
from shop.demo.services.load import PASSWORD

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def data(settings, tmp_path):
    settings.DATA_DIR, settings.MEDIA_ROOT = tmp_path, tmp_path / "media"
    return tmp_path


def all_of_it():
    """Return every row, sum and file of the books."""
    models = copied_models()
    rows = {one._meta.label: list(row_lines(one, "default")) for one in models}
    sums = {one._meta.label: tally(one, "default") for one in models}
    files = {}
    for name in kept_names(models, "default"):
        with default_storage.open(name) as file:
            files[name] = sha256(file.read()).hexdigest()
    return rows, sums, files


def destroy(data):
    call_command("flush", interactive=False, verbosity=0)
    (data / "media").rename(data / "lost")


def test_a_whole_shop_comes_back_to_the_last_row_file_and_cent(data):
    call_command("load_demo", verbosity=0)
    before = all_of_it()
    assert sum(len(lines) for lines in before[0].values()) > 2000
    assert len(before[2]) > 10
    kept = keep_copy(folder=data / "copies", made_at=timezone.now())
    destroy(data)
    restore_books(file=kept)
    assert all_of_it() == before
    assert User.objects.get(username="posy").check_password(PASSWORD)
    assert Place.objects.create(name="A new place").pk not in {
        json.loads(line)[0] for line in before[0]["inventory.Place"][1:]
    }
    with pytest.raises(BooksThere):
        restore_books(file=kept)


@pytest.fixture
def place(workshop):
    return Place.objects.create(name="Attic 🎻\nand loft")


@pytest.mark.parametrize("passphrase", ["", "seven dry spruce tops"], ids=["plain", "locked"])
def test_a_copy_is_its_owners_and_a_locked_one_tells_nothing(data, place, passphrase):
    kept = keep_copy(folder=data / "copies", made_at=timezone.now(), passphrase=passphrase)
    assert kept.stat().st_mode & 0o777 == 0o600
    assert [path.name for path in kept.parent.iterdir()] == [kept.name]
    assert (b"rows/inventory.Place" in kept.read_bytes()) is not bool(passphrase)
    if passphrase:
        for wrong in ("", "seven dry maple backs"):
            with pytest.raises(Refusal, match="passphrase"):
                restore_books(file=kept, passphrase=wrong)
    call_command("flush", interactive=False, verbosity=0)
    restore_books(file=kept, passphrase=passphrase)
    assert Place.objects.get().name == place.name


def test_the_file_of_everything_reads_back_in(data, place):
    file = data / "everything.zip"
    file.write_bytes(b"".join(everything_zip(Workshop.objects.get(), timezone.localtime())))
    call_command("flush", interactive=False, verbosity=0)
    restore_books(file=file)
    assert Place.objects.get().name == place.name


@pytest.mark.parametrize("app", ["quotes", "shop"])
def test_a_copy_of_an_older_version_is_brought_up_to_date(data, place, app):
    executor = WholeSteps(connection)
    [last] = executor.loader.graph.leaf_nodes(app)
    before = set(executor.loader.applied_migrations) - {last}
    executor.migrate(ends_of(executor, before))
    state = tables_after(executor, before)
    kept = keep_copy(folder=data / "copies", made_at=timezone.now(), registry=state)
    call_command("flush", interactive=False, verbosity=0)
    restore_books(file=kept)
    with ZipFile(kept) as folder:
        assert list(last) not in json.loads(folder.read("copy.json"))["migrations"]
    assert Place.objects.get().name == place.name
    assert last in WholeSteps(connection).loader.applied_migrations


def changed(kept, name, content):
    """Return a copy in which one file says something else."""
    other = kept.with_name("changed.zip")
    with ZipFile(kept) as before, ZipFile(other, "w") as after:
        for one in before.namelist():
            after.writestr(one, content if one == name else before.read(one))
    return other


def test_a_copy_that_lost_a_row_or_is_cut_off_is_found_out(data, place):
    kept = keep_copy(folder=data / "copies", made_at=timezone.now())
    check_copy(kept)
    rows = ZipFile(kept).read("rows/inventory.Place.jsonl")
    fewer = changed(kept, "rows/inventory.Place.jsonl", rows.splitlines(keepends=True)[0])
    cut = kept.with_name("cut.zip")
    cut.write_bytes(kept.read_bytes()[:-200])
    for bad in (fewer, cut):
        with pytest.raises(BadCopy):
            check_copy(bad)


def test_the_commands_say_what_they_did(data, place, capsys):
    call_command("backup", to=data / "copies")
    said = capsys.readouterr().out
    kept = next((data / "copies").iterdir())
    assert f"checked and stored in {kept}" in said
    call_command("backup", to=data / "copies", if_due=True)
    assert list((data / "copies").iterdir()) == [kept]
    with pytest.raises(CommandError, match="holds a workshop already"):
        call_command("restore", kept)
    call_command("flush", interactive=False, verbosity=0)
    call_command("restore", kept)
    assert "Restored the backup" in capsys.readouterr().out
