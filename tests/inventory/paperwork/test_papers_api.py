"""Papers of lots over the API."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from rest_framework.test import APIClient

from inventory.models import Lot, Paper
from inventory.shelf.services.moves import draw_stock
from tests.conftest import make_person
from tests.factories import NOW
from tests.inventory.problems import problem
from tests.inventory.stocked import stocked_pieces

API = "/api/v1"
ONE = {"kind": "permit", "number": "27-118", "issued_by": "the authority"}


@pytest.fixture(autouse=True)
def _media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def board(workshop):
    return stocked_pieces(2)[1][0]


def address(lot):
    return f"{API}/lots/{lot.number}/papers/"


def test_a_paper_is_added_listed_and_read(phone, board):
    scan = SimpleUploadedFile("permit.pdf", b"%PDF-1.7 permit", content_type="application/pdf")
    kept = phone.post(address(board), ONE | {"file": scan}, format="multipart")
    assert kept.status_code == 201, kept.json()
    assert phone.get(address(board)).json() == [kept.json()]
    read = phone.get(f"{API}/papers/{kept.json()['id']}/file/")
    assert b"".join(read.streaming_content) == b"%PDF-1.7 permit"
    assert "attachment" in read["Content-Disposition"]


def test_a_piece_shows_the_papers_of_the_board_it_was_cut_from(phone, board):
    part = Lot.objects.create(
        number="T-9", material=board.material, received_on=NOW.date(), cut_from=board
    )
    phone.post(address(board), ONE)
    assert [row["lot"] for row in phone.get(address(part)).json()] == [board.number]


def test_a_paper_without_a_file_has_none_to_read(phone, board):
    kept = phone.post(address(board), ONE).json()
    assert kept["has_file"] is False
    problem(phone.get(f"{API}/papers/{kept['id']}/file/"), 404)
    problem(phone.post(address(board), ONE | {"kind": "rumour"}), 400)
    problem(phone.get(f"{API}/lots/T-404/papers/"), 404)


def test_whoever_keeps_the_books_adds_papers_and_a_looker_on_does_not(board, looker_on):
    for person, status in ((make_person("ada", "bookkeeper"), 201), (looker_on, 403)):
        api = APIClient()
        api.force_authenticate(person)
        assert api.post(address(board), ONE).status_code == status
        assert api.get(address(board)).status_code == 200
    assert Paper.objects.count() == 1


def test_customs_get_one_sheet_of_an_instrument(phone, board):
    draw_stock(
        material=board.material, quantity=board.remaining, lot=board, holder="build:7", now=NOW
    )
    printed = phone.get(f"{API}/holders/build:7/customs/")
    assert printed["Content-Type"] == "application/pdf"
    assert printed.content.startswith(b"%PDF")
    problem(phone.get(f"{API}/holders/build:8/customs/"), 404)


def test_a_paper_is_put_right_and_thrown_away(phone, board):
    paper = phone.post(address(board), ONE).json()
    own = f"{API}/papers/{paper['id']}/"
    version = phone.get(own)["ETag"]
    changed = phone.patch(own, {"number": "27-119"}, headers={"If-Match": version})
    assert changed.json()["number"] == "27-119"
    gone = phone.delete(own, headers={"If-Match": changed["ETag"]})
    assert gone.status_code == 204
    assert phone.get(address(board)).json() == []


def test_a_paper_of_which_nothing_is_said_is_refused(phone, board):
    answer = phone.post(address(board), {})
    assert answer.status_code == 400
    assert answer.json()["errors"][0]["field"] == "number"
    assert not Paper.objects.exists()
