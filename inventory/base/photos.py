"""Photos: shrunk, turned upright, and freed of what the camera wrote beside the picture."""

from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING

from django.core.files.base import ContentFile
from django.core.files.uploadedfile import UploadedFile

from inventory.base.attempts import run_unlocked
from inventory.base.refusals import Refusal

if TYPE_CHECKING:
    from PIL import Image

LONGEST_SIDE = 1600
SMALL_SIDE = 480
"""Sharp at 240 px of a list on a screen with two dots to the pixel."""

QUALITY = 82
MOST_BYTES = 25 * 1024 * 1024
MOST_PIXELS = 64_000_000
"""What a picture may unpack to: under 200 MB of memory. Small files can hold huge pictures."""

READ = ("JPEG", "PNG", "WEBP", "GIF", "BMP", "TIFF", "AVIF")
"""What cameras, phones and scanners write; some of what else could be read would run programs."""

TOO_MANY_PIXELS = (
    f"This picture has more than {MOST_PIXELS // 1_000_000} million pixels. Upload a smaller one."
)


@dataclass(frozen=True, slots=True)
class Shrunk:
    """A photo as it is kept: at most 1,600 px, and small enough for a list."""

    image: bytes
    small: bytes

    def files(self, name: str) -> dict[str, ContentFile]:
        """Return both as files called after `name`."""
        return {
            "image": ContentFile(self.image, name=f"{name}.jpg"),
            "small": ContentFile(self.small, name=f"{name}-small.jpg"),
        }


def shrunk_photo(upload: UploadedFile, *, field: str = "photo") -> Shrunk:
    """Return `upload` as two JPEGs without place, camera or time: only the pixels are kept.

    The work is done while nothing is locked. Raises Refusal, of the `field` it came in, for what
    is no picture, or too large to open safely.
    """
    if (upload.size or 0) > MOST_BYTES:
        raise Refusal("This picture is larger than 25 MB. Upload a smaller one.", field=field)
    return run_unlocked(("photo", id(upload)), lambda: _shrink(upload, field))


def _shrink(upload: UploadedFile, field: str) -> Shrunk:
    from PIL import Image, ImageOps, UnidentifiedImageError

    upload.seek(0)
    try:
        with Image.open(upload, formats=READ) as picture:
            if picture.width * picture.height > MOST_PIXELS:
                raise Refusal(TOO_MANY_PIXELS, field=field)
            picture.draft("RGB", (2 * LONGEST_SIDE, 2 * LONGEST_SIDE))
            upright = _on_white(ImageOps.exif_transpose(picture))
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise Refusal(TOO_MANY_PIXELS, field=field) from None
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError):
        raise Refusal("This file is not a picture that can be read.", field=field) from None
    return Shrunk(_bare_copy(upright, LONGEST_SIDE), _bare_copy(upright, SMALL_SIDE))


def _on_white(picture: "Image.Image") -> "Image.Image":
    """Return the picture without see-through parts: under them some programs leave black."""
    from PIL import Image

    if not picture.has_transparency_data:
        return picture.convert("RGB")
    clear = picture.convert("RGBA")
    return Image.alpha_composite(Image.new("RGBA", clear.size, "white"), clear).convert("RGB")


def _bare_copy(picture: "Image.Image", longest: int) -> bytes:
    """Shrink `picture` and return its pixels alone as a JPEG."""
    from PIL import Image

    picture.thumbnail((longest, longest))
    bare = Image.new("RGB", picture.size)
    bare.paste(picture)
    written = BytesIO()
    bare.save(written, "JPEG", quality=QUALITY, optimize=True)
    return written.getvalue()
