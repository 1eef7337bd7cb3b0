from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from inventory.base.refusals import Refusal
from shop.builds.services.edit import add_build_note
from tests.shop.factories import NOW, make_build

pytestmark = pytest.mark.django_db
GPS = 0x8825


@pytest.fixture(autouse=True)
def media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


def picture(size=(3000, 2000), turned=False):
    exif = Image.Exif()
    exif[0x010F] = "Bramble cameras"
    exif.get_ifd(GPS)[1] = "N"
    if turned:
        exif[0x0112] = 6
    file = BytesIO()
    Image.new("RGB", size, "sienna").save(file, "JPEG", exif=exif)
    return SimpleUploadedFile("top.jpg", file.getvalue(), "image/jpeg")


def test_a_photo_is_made_small_and_says_nothing_of_where_it_was_taken():
    upload = picture()
    assert Image.open(upload).getexif()[0x010F] == "Bramble cameras"
    note = add_build_note(build=make_build(), photo=upload, now=NOW)
    with Image.open(note.photo.path) as kept:
        assert kept.size == (1600, 1067)
        assert not dict(kept.getexif())
        assert "exif" not in kept.info


def test_a_small_copy_is_made_for_lists():
    note = add_build_note(build=make_build(), photo=picture(), now=NOW)
    with Image.open(note.small.path) as kept:
        assert kept.size == (480, 320)
        assert not dict(kept.getexif())


def test_a_photo_stands_upright():
    note = add_build_note(build=make_build(), photo=picture((300, 200), turned=True), now=NOW)
    with Image.open(note.photo.path) as kept:
        assert kept.size == (200, 300)


@pytest.mark.parametrize("content", [b"no picture at all", b"\x89PNG\r\n\x1a\nbroken"])
def test_what_is_no_picture_is_refused(content):
    file = SimpleUploadedFile("notes.jpg", content, "image/jpeg")
    with pytest.raises(Refusal, match="not a picture that can be read"):
        add_build_note(build=make_build(), photo=file, now=NOW)


def test_an_empty_note_is_refused():
    with pytest.raises(Refusal, match="Enter a note"):
        add_build_note(build=make_build(), text="  ", now=NOW)


def test_a_note_is_kept_with_its_stage():
    build = make_build()
    note = add_build_note(
        build=build, text="Graduated to 4.2 mm", stage=build.stages.get(), now=NOW
    )
    assert (note.text, note.stage.name) == ("Graduated to 4.2 mm", "Carve neck")
