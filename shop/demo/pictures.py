"""Drawn pictures for the demo, in place of photos: bookmatched wood and its grain."""

from io import BytesIO
from math import sin

from django.core.files.uploadedfile import SimpleUploadedFile, UploadedFile

SIZE = (640, 440)
WOODS = {
    "spruce": ((232, 205, 158), (196, 158, 104), 9),
    "maple": ((226, 194, 148), (188, 142, 92), 23),
    "walnut": ((122, 86, 58), (84, 56, 36), 17),
}
"""Ground, grain, and how far the lines lie apart at the joint."""


def a_drawing(name: str) -> UploadedFile:
    """Return the drawing of a wood as if a camera had sent it."""
    return SimpleUploadedFile("drawn.jpg", draw_wood(name), "image/jpeg")


def draw_wood(name: str) -> bytes:
    """Return a JPEG of two matched halves of `name`, lying on a bench."""
    from PIL import Image, ImageDraw

    ground, grain, apart = WOODS[name]
    picture = Image.new("RGB", SIZE, (70, 66, 62))
    pen = ImageDraw.Draw(picture)
    width, height = SIZE
    middle = width // 2
    pen.rectangle((60, 50, width - 60, height - 50), fill=ground)
    offset, step = 4.0, float(apart)
    while middle - offset > 66:
        for side in (-1, 1):
            line = [
                (middle + side * (offset + step * 0.4 * sin(down / 90 + offset / 40)), down)
                for down in range(50, height - 50, 8)
            ]
            pen.line(line, fill=grain, width=2)
        offset, step = offset + step, step * 1.06
    pen.line((middle, 50, middle, height - 50), fill=(60, 44, 30), width=2)
    drawn = BytesIO()
    picture.save(drawn, "JPEG", quality=80)
    return drawn.getvalue()


def draw_paper(*words: str) -> bytes:
    """Return a PNG of a sheet with a few words and ruled lines, in place of a scan."""
    from PIL import Image, ImageDraw

    picture = Image.new("L", (440, 620), 250)
    pen = ImageDraw.Draw(picture)
    pen.rectangle((20, 20, 420, 600), outline=90)
    for row, line in enumerate((*words, "A drawing from the demo workshop, not a real document.")):
        pen.text((44, 48 + 26 * row), line, fill=40)
    for down in range(190, 560, 34):
        pen.line((44, down, 396, down), fill=190)
    drawn = BytesIO()
    picture.save(drawn, "PNG")
    return drawn.getvalue()
