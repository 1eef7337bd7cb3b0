"""Everything is downloaded: nothing left behind, nothing moved meanwhile, no secret goes along."""

import csv
import shutil
import sqlite3
from contextlib import closing
from datetime import datetime
from decimal import Decimal
from io import BytesIO, StringIO, TextIOWrapper
from zipfile import ZipFile

import pytest
from django.contrib.auth.models import User
from django.core.files.base import ContentFile
from django.core.management import CommandError, call_command
from django.db import connection
from django.utils import timezone

from inventory.base.roles import BOOKKEEPER, MAKER, OWNER
from inventory.ledger.services.incoming import NewLine
from inventory.models import Lot, Paper, Place
from inventory.purchasing.services.deliveries import receive_delivery
from shop.access.bookkeeping import Act
from shop.archive.documents import everything_zip
from shop.archive.queries import all_tables, column_rows
from shop.devices.services import add_device
from shop.models import AccessEntry
from tests.conftest import make_person
from tests.factories import make_material

pytestmark = pytest.mark.django_db
committed = pytest.mark.django_db(transaction=True)
PERMIT = b"%PDF-1.7 not really\n"


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path):
    settings.DATA_DIR = tmp_path
    settings.MEDIA_ROOT = tmp_path / "media"


@pytest.fixture
def permit(workshop):
    material, now = make_material("=SUM(A1), a spruce"), timezone.now()
    line = NewLine(material=material, quantity=Decimal(3), price=Decimal(96))
    receive_delivery(received_on=timezone.localdate(now), lines=[line], now=now)
    lot = Lot.objects.get()
    return Paper.objects.create(lot=lot, kind="permit", file=ContentFile(PERMIT, "permit.pdf"))


def taken_out(workshop):
    return opened(everything_zip(workshop, timezone.localtime()))


def opened(bits):
    return ZipFile(BytesIO(b"".join(bits)))


def rows_of(folder, name):
    with folder.open(f"tables/{name}.csv") as file:
        return list(csv.DictReader(TextIOWrapper(file, "utf-8-sig")))


@committed
def test_every_row_and_every_file_goes_out_and_what_is_missing_is_named(workshop, permit, posy):
    lost = Paper.objects.create(lot=permit.lot, kind="invoice", file=ContentFile(b"x", "lost.pdf"))
    lost.file.storage.delete(lost.file.name)
    folder = taken_out(workshop)
    for table in all_tables():
        assert len(rows_of(folder, table.name)) == table.model._base_manager.count(), table.name
    [delivered] = rows_of(folder, "inventory/stock entries")
    assert (delivered["quantity"], delivered["reason"]) == ("3", "received")
    assert datetime.fromisoformat(delivered["happened_at"]).tzinfo
    [material] = rows_of(folder, "inventory/materials")
    assert material["name"] == "'=SUM(A1), a spruce"  # a spreadsheet must not work it out
    assert folder.read(f"media/{permit.file.name}") == PERMIT
    assert folder.read("media/missing.txt").decode() == f"{lost.file.name}\n"


def test_every_column_is_told_of():
    heads, *rows = column_rows(all_tables())
    told = [dict(zip(heads, row, strict=True)) for row in rows]
    every = {(table.name, head) for table in all_tables() for head in table.heads}
    assert {(row["table"], row["column"]) for row in told} == every
    keys = {(row["table"], row["column"]): row["key of"] for row in told}
    assert keys["inventory/lots", "material_id"] == "inventory/materials"


@committed
def test_what_is_booked_while_it_is_sent_is_not_half_in_it(workshop):
    bits = everything_zip(workshop, timezone.localtime())
    first = next(bits)
    Place.objects.create(name="Attic")
    assert rows_of(opened([first, *bits]), "inventory/places") == []
    assert [row["name"] for row in rows_of(taken_out(workshop), "inventory/places")] == ["Attic"]


@committed
def test_no_password_and_no_token_stands_in_the_tables(workshop):
    user = User.objects.create_user("posy", password="a long secret")
    device, _ = add_device(user=user, name="shed laptop", now=timezone.now())
    folder = taken_out(workshop)
    words = "".join(folder.read(n).decode() for n in folder.namelist() if n.endswith(".csv"))
    assert "shed laptop" in words
    for secret in (user.password, device.token.digest, device.token.token_key):
        assert secret not in words


@committed
@pytest.mark.skipif(connection.vendor != "sqlite", reason="a server keeps its own copies")
def test_no_session_lies_in_the_database_not_even_one_that_ended(client, workshop, tmp_path):
    client.force_login(User.objects.create_user("posy"))
    ended = client.session.session_key
    client.logout()
    client.force_login(User.objects.get())
    taken_out(workshop).extract("gramil.sqlite3", tmp_path)
    found = (tmp_path / "gramil.sqlite3").read_bytes()
    assert client.session.session_key.encode() not in found
    assert ended.encode() not in found


@committed
@pytest.mark.skipif(connection.vendor != "sqlite", reason="a server keeps its own copies")
def test_the_database_in_it_is_whole_and_leaves_nothing_behind(workshop, permit, tmp_path):
    folder = taken_out(workshop)
    folder.extract("gramil.sqlite3", tmp_path)
    with closing(sqlite3.connect(tmp_path / "gramil.sqlite3")) as books:
        assert books.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        [[name]] = books.execute("SELECT name FROM inventory_material").fetchall()
    assert name == "=SUM(A1), a spruce"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["gramil.sqlite3", "media"]


@pytest.mark.skipif(connection.vendor == "sqlite", reason="SQLite puts the database in")
def test_a_servers_database_is_left_to_the_server(workshop):
    folder = taken_out(workshop)
    assert "gramil.sqlite3" not in folder.namelist()
    assert "left out" in folder.read("READ ME.txt").decode()


def test_a_client_who_goes_away_in_the_middle_leaves_no_copy_behind(workshop, tmp_path):
    bits = everything_zip(workshop, timezone.localtime())
    next(bits)
    bits.close()
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(("role", "status"), [(OWNER, 200), (MAKER, 403), (BOOKKEEPER, 403)])
def test_only_the_owner_takes_everything_out(client, workshop, role, status):
    client.force_login(make_person("gertie", role))
    for answer in (client.post("/workshop/everything/"), client.get("/api/v1/everything/")):
        assert answer.status_code == status
        if status == 200:
            assert "READ ME.txt" in opened(answer.streaming_content).namelist()


def test_a_file_that_is_there_is_not_written_over(workshop, tmp_path):
    to, said = tmp_path / "books.zip", StringIO()
    call_command("take_out", to, stdout=said)
    assert f"All data is in {to}." in said.getvalue()
    before = to.read_bytes()
    with pytest.raises(CommandError, match="already exists"):
        call_command("take_out", to)
    assert to.read_bytes() == before


@pytest.fixture
def small_disk(monkeypatch):
    usage = shutil.disk_usage("/")._replace(free=40_000_000)
    monkeypatch.setattr("shop.copies.queries.shutil.disk_usage", lambda folder: usage)


@pytest.mark.skipif(connection.vendor != "sqlite", reason="a server needs no second copy")
def test_without_room_for_a_second_database_it_is_said_before_anything_is_sent(
    client, workshop, small_disk, tmp_path
):
    client.force_login(make_person("gertie", OWNER))
    page, answer = client.post("/workshop/everything/"), client.get("/api/v1/everything/")
    assert (page.status_code, answer.status_code) == (409, 409)
    for said in (page.content.decode(), answer.json()["detail"]):
        assert "has 40 MB free. Make room there and ask again." in said
    assert not AccessEntry.objects.filter(act=Act.EXPORTED).exists()
    with pytest.raises(CommandError, match="Make room"):
        call_command("take_out", tmp_path / "books.zip")
    assert list(tmp_path.iterdir()) == []
