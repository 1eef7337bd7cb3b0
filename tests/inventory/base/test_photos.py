"""Photos: bounded before they are unpacked, and nothing kept of them but the pixels."""

import struct
import zlib
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from inventory.base.photos import MOST_PIXELS, shrunk_photo
from inventory.base.refusals import Refusal


def upload_of(data, name="top.jpg"):
    return SimpleUploadedFile(name, data)


def picture(size, kind="JPEG", mode="RGB", **more):
    written = BytesIO()
    Image.new(mode, size, 128).save(written, kind, **more)
    return written.getvalue()


def promising(width, height):
    """Return a PNG that says how large it is and holds next to nothing."""

    def chunk(name, data):
        checked = name + data
        return struct.pack(">I", len(data)) + checked + struct.pack(">I", zlib.crc32(checked))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    parts = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"")) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + parts


KINDS = [("JPEG", "RGB"), ("PNG", "RGBA"), ("PNG", "P"), ("GIF", "P"), ("WEBP", "RGB")]


@pytest.mark.parametrize(("kind", "mode"), KINDS)
def test_a_photo_is_kept_twice_within_its_bounds(kind, mode):
    shrunk = shrunk_photo(upload_of(picture((4000, 1000), kind, mode)))
    sizes = [Image.open(BytesIO(data)).size for data in (shrunk.image, shrunk.small)]
    assert sizes == [(1600, 400), (480, 120)]


def test_a_photo_is_turned_upright_and_loses_what_the_camera_wrote():
    exif = Image.Exif()
    exif[0x0112], exif[0x0110] = 6, "Box camera"  # EXIF 2.3: Orientation, Model
    shrunk = shrunk_photo(upload_of(picture((2000, 1000), exif=exif)))
    kept = Image.open(BytesIO(shrunk.image))
    assert kept.size == (800, 1600)
    assert not dict(kept.getexif())


@pytest.mark.parametrize("side", [8100, 9600, 20_000], ids=["just over", "warned of", "a bomb"])
def test_a_picture_of_too_many_pixels_is_refused_before_it_is_unpacked(side, monkeypatch):
    assert side * side > MOST_PIXELS
    monkeypatch.setattr(Image.Image, "load", lambda self: pytest.fail("was unpacked"))
    monkeypatch.setattr("PIL.PngImagePlugin.PngImageFile.load", Image.Image.load)
    with pytest.raises(Refusal, match="64 million pixels"):
        shrunk_photo(upload_of(promising(side, side)))


@pytest.mark.parametrize("data", [b"", b"GIF89a", b"%!PS-Adobe-3.0 EPSF-3.0\n"], ids=str)
def test_what_is_no_picture_is_refused(data):
    with pytest.raises(Refusal, match="not a picture that can be read"):
        shrunk_photo(upload_of(data))
