"""Photos and documents of a lot."""

from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from inventory.cutting.queries import CutPart
from inventory.cutting.services import cut_stock
from inventory.models import Paper
from inventory.shelf.queries.traces import papers_of
from tests.factories import NOW
from tests.inventory.stocked import stocked_pieces


@pytest.fixture(autouse=True)
def _media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def lot(workshop):
    return stocked_pieces()[1][0]


def a_photo(size=(3000, 2000)):
    """A JPEG that says where it was taken."""
    exif = Image.Exif()
    exif.get_ifd(0x8825)[1] = "N"
    exif[0x010F] = "camera"
    data = BytesIO()
    Image.new("RGB", size, "tan").save(data, "JPEG", exif=exif)
    return SimpleUploadedFile("grain.jpg", data.getvalue(), content_type="image/jpeg")


def test_a_photo_is_shrunk_and_says_no_longer_where_it_was_taken(desk, lot):
    desk.post(reverse("new_photo", args=[lot.number]), {"photo": a_photo(), "note": "grain end"})
    photo = lot.photos.get()
    with Image.open(photo.image.path) as picture:
        assert max(picture.size) == 1600
        assert not picture.getexif()
    page = desk.get(reverse("piece", args=[lot.number])).content.decode()
    assert reverse("photo_file", args=[photo.pk]) in page
    answer = desk.get(reverse("photo_file", args=[photo.pk]))
    assert answer["Content-Type"] == "image/jpeg"
    assert b"".join(answer.streaming_content).startswith(b"\xff\xd8")
    answer.close()


def test_a_list_shows_a_small_copy_that_says_nothing_either(desk, lot):
    desk.post(reverse("new_photo", args=[lot.number]), {"photo": a_photo()})
    photo = lot.photos.get()
    with Image.open(photo.small.path) as picture:
        assert picture.size == (480, 320)
        assert not picture.getexif()
    shown = f'<img src="{reverse("small_photo", args=[photo.pk])}"'
    page = desk.get(reverse("piece", args=[lot.number])).content.decode()
    assert shown in page
    assert 'loading="lazy"' in page
    assert photo.small.size < photo.image.size


@pytest.mark.parametrize("has_small", [True, False])
def test_a_photo_without_a_small_copy_is_shown_itself(desk, lot, has_small):
    desk.post(reverse("new_photo", args=[lot.number]), {"photo": a_photo()})
    photo = lot.photos.get()
    if not has_small:
        lot.photos.update(small="")
    answer = desk.get(reverse("small_photo", args=[photo.pk]))
    sent = b"".join(answer.streaming_content)
    answer.close()
    assert len(sent) == (photo.small if has_small else photo.image).size


def test_a_photo_can_be_thrown_away(desk, lot, django_capture_on_commit_callbacks):
    desk.post(reverse("new_photo", args=[lot.number]), {"photo": a_photo((40, 30))})
    photo = lot.photos.get()
    with django_capture_on_commit_callbacks(execute=True):
        desk.post(reverse("remove_photo", args=[photo.pk]))
    assert not lot.photos.exists()
    assert not photo.image.storage.exists(photo.image.name)
    assert not photo.small.storage.exists(photo.small.name)
    assert desk.get(reverse("photo_file", args=[photo.pk])).status_code == 404


def test_what_is_no_picture_is_refused_in_words(desk, lot):
    upload = SimpleUploadedFile("grain.jpg", b"not a picture", content_type="image/jpeg")
    answer = desk.post(reverse("new_photo", args=[lot.number]), {"photo": upload})
    assert answer.status_code == 409
    assert "not a picture that can be read" in answer.content.decode()


def test_a_paper_is_kept_and_given_back_as_it_came(desk, lot):
    upload = SimpleUploadedFile("permit.pdf", b"%PDF-1.4 permit", content_type="application/pdf")
    data = {"kind": "permit", "number": "CA-77", "file": upload, "issued_on": "2019-11-26"}
    desk.post(reverse("new_paper", args=[lot.number]), data)
    paper = lot.papers.get()
    answer = desk.get(reverse("paper_file", args=[paper.pk]))
    assert b"".join(answer.streaming_content) == b"%PDF-1.4 permit"
    assert "attachment" in answer["Content-Disposition"]
    answer.close()


def test_papers_of_a_board_are_papers_of_all_that_is_cut_from_it(lot):
    paper = Paper.objects.create(lot=lot, kind="permit", number="CA-77")
    (blank,) = cut_stock(
        lot=lot, parts=[CutPart(material=lot.material, measure=1)], usable=1, now=NOW
    )
    (half,) = cut_stock(
        lot=blank, parts=[CutPart(material=lot.material, measure=1)], usable=1, now=NOW
    )
    assert papers_of(half) == [paper]


def test_a_paper_without_a_file_has_none_to_give(desk, lot):
    paper = Paper.objects.create(lot=lot, kind="invoice", number="B-2291")
    assert desk.get(reverse("paper_file", args=[paper.pk])).status_code == 404


def a_scan(content=b"%PDF-1.7 permit"):
    return SimpleUploadedFile("permit.pdf", content, content_type="application/pdf")


def test_a_paper_is_put_right_and_given_its_file(desk, lot):
    desk.post(reverse("new_paper", args=[lot.number]), {"kind": "permit", "number": "EX-1"})
    paper = lot.papers.get()
    data = {"kind": "permit", "number": "EX-2207", "file": a_scan()}
    desk.post(reverse("edit_paper", args=[paper.pk]), data)
    paper.refresh_from_db()
    assert paper.number == "EX-2207"
    answer = desk.get(reverse("paper_file", args=[paper.pk]))
    assert b"".join(answer.streaming_content) == b"%PDF-1.7 permit"
    answer.close()


def test_a_paper_of_another_lot_is_thrown_away_with_its_file(
    desk, lot, settings, django_capture_on_commit_callbacks
):
    data = {"kind": "permit", "number": "EX-1", "file": a_scan()}
    desk.post(reverse("new_paper", args=[lot.number]), data)
    paper = lot.papers.get()
    with django_capture_on_commit_callbacks(execute=True):
        page = desk.post(reverse("remove_paper", args=[paper.pk]), follow=True)
    assert "Deleted: permit EX-1." in page.content.decode()
    assert not lot.papers.exists()
    assert not list(settings.MEDIA_ROOT.rglob("*.pdf"))
