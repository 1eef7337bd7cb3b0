"""Files that no row names are put aside at a start; what a row names never is."""

import time

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage

from inventory.models import Photo
from shop.copies.services import PUT_ASIDE, put_unclaimed_aside
from tests.factories import TODAY
from tests.inventory.stocked import stocked_pieces

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def data(settings, tmp_path):
    settings.DATA_DIR, settings.MEDIA_ROOT = tmp_path, tmp_path / "media"
    return tmp_path


@pytest.fixture
def photo(workshop):
    files = {name: ContentFile(b"pixels", name=f"{name}.jpg") for name in ("image", "small")}
    _, (lot,) = stocked_pieces(1)
    return Photo.objects.create(lot=lot, taken_on=TODAY, **files)


def test_what_a_row_names_stays(photo):
    assert put_unclaimed_aside(written_before=time.time() + 1) == 0
    assert all(default_storage.exists(file.name) for file in (photo.image, photo.small))


def test_what_no_row_names_is_put_aside_whole(photo, data):
    for name in ("stock/2027/left.jpg", "quotes/.unfinished-x1"):
        default_storage.save(name, ContentFile(b"left"))
    assert put_unclaimed_aside(written_before=time.time() + 1) == 2
    assert (data / PUT_ASIDE / "stock/2027/left.jpg").read_bytes() == b"left"
    assert not default_storage.exists("stock/2027/left.jpg")


def test_what_somebody_may_just_be_writing_stays(data):
    name = default_storage.save("left.jpg", ContentFile(b"left"))
    assert put_unclaimed_aside(written_before=time.time() - 3600) == 0
    assert default_storage.exists(name)
