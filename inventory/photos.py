"""Photos: made small, turned upright, and freed of what the camera wrote beside the picture."""

from io import BytesIO

from django.core.files.base import ContentFile
from django.core.files.uploadedfile import UploadedFile

from inventory.refusals import Refusal

LONGEST_SIDE = 1600
QUALITY = 82
MOST_BYTES = 25 * 1024 * 1024


def shrunk_photo(upload: UploadedFile, name: str) -> ContentFile:
    """Return `upload` as a JPEG called `name`: at most 1,600 px, without place, camera or time.

    Only the pixels are kept. Raises Refusal for what is no picture, or too large to open safely.
    """
    from PIL import Image, ImageOps, UnidentifiedImageError

    if (upload.size or 0) > MOST_BYTES:
        raise Refusal("This picture is larger than 25 MB. Send a smaller one.", field="photo")
    try:
        with Image.open(upload) as picture:
            upright = ImageOps.exif_transpose(picture).convert("RGB")
    except Image.DecompressionBombError:
        raise Refusal("This picture is too large to open.", field="photo") from None
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError):
        raise Refusal("This file is no picture that can be read.", field="photo") from None
    upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    bare = Image.new("RGB", upright.size)
    bare.paste(upright)
    small = BytesIO()
    bare.save(small, "JPEG", quality=QUALITY, optimize=True)
    return ContentFile(small.getvalue(), name=f"{name}.jpg")
