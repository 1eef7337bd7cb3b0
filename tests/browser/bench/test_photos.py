"""Photos: shrunk on the phone, without the place where they were taken, also when told later."""

from io import BytesIO

import pytest
from PIL import Image

from shop.models import BuildNote

pytestmark = pytest.mark.browser
GPS = 0x8825


@pytest.fixture
def large_photo(tmp_path):
    """A picture of several MB with its place written into it, lying on its side."""
    noise = Image.effect_noise((3200, 2400), 90).convert("RGB")
    exif = Image.Exif()
    exif[0x0112] = 6
    exif[GPS] = {1: "N", 2: (52.0, 6.0, 0.0), 3: "E", 4: (4.0, 20.0, 0.0)}
    path = tmp_path / "crack.jpg"
    noise.save(path, "JPEG", quality=92, exif=exif)
    assert path.stat().st_size > 4_000_000
    with Image.open(path) as kept:
        assert kept.getexif().get_ifd(GPS)
    return path


def sent_photo(phone):
    """Return the picture as it waits in the phone, in bytes."""
    numbers = phone.page.evaluate(
        """async () => {
          const { acts } = await import("/static/shop/bench/db.js");
          const [act] = (await acts()).filter((one) => one.photo);
          return [...new Uint8Array(await act.photo.arrayBuffer())];
        }"""
    )
    return bytes(numbers)


def test_a_photo_is_small_and_says_nothing_of_its_place(
    phone, builds, large_photo, settings, tmp_path
):
    settings.MEDIA_ROOT = tmp_path / "media"
    phone.cut()
    phone.go(f"#/photo/{builds['A'].pk}")
    phone.page.set_input_files("input[type=file]", str(large_photo))
    assert phone.sees(r"\d+ kB, location removed")
    phone.write("Note", "crack at the end grain")
    phone.tap("^Save$")
    small = sent_photo(phone)
    assert len(small) <= 400 * 1024
    picture = Image.open(BytesIO(small))
    assert not picture.getexif()
    assert picture.height > picture.width, "turned upright before the camera's notes were dropped"
    phone.kill()
    phone.open()
    phone.shift_clock(30)
    phone.reconnect()
    phone.settle()
    note = BuildNote.objects.get()
    assert (note.build, note.text) == (builds["A"], "crack at the end grain")
    with note.photo.open() as kept:
        assert not Image.open(kept).getexif()
