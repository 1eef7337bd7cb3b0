"""Reading a picture back: what stands where, and whether it stays on its sheet."""

import re
from pathlib import Path
from xml.etree import ElementTree

from shop.base.pictures.paper import STYLE

INKS = set(re.findall(r"\.([a-z0-9-]+)", STYLE))
LOOKS = set(
    re.findall(r"\.picture \.([a-z0-9-]+)", Path("shop/static/shop/pictures.css").read_text())
)


def elements(drawing, says="says"):
    """Every element of the drawing's SVG, read by an XML parser."""
    return list(ElementTree.fromstring(drawing.svg("wide", says)).iter())


def texts(drawing):
    return [one.text for one in elements(drawing) if one.tag == "text"]


def found(drawing, tag, look):
    return [
        {key: float(value) for key, value in one.attrib.items() if key not in {"class", "points"}}
        for one in elements(drawing)
        if one.tag == tag and one.attrib.get("class") == look
    ]


def looks(drawing):
    return {one.attrib["class"] for one in elements(drawing)[1:] if "class" in one.attrib}


def strays(drawing):
    """Shapes that reach beyond the sheet."""
    return [one for one in elements(drawing)[1:] if _strays(one, drawing.width, drawing.height)]


def _strays(one, width, height):
    numbers = {key: float(one.attrib[key]) for key in PLACES if key in one.attrib}
    across = [numbers[key] for key in ("x", "x1", "x2", "cx") if key in numbers]
    down = [numbers[key] for key in ("y", "y1", "y2", "cy") if key in numbers]
    if one.tag == "rect":
        across.append(numbers["x"] + numbers["width"])
        down.append(numbers["y"] + numbers["height"])
    for point in one.attrib.get("points", "").split():
        x, y = point.split(",")
        across.append(float(x))
        down.append(float(y))
    beyond = [each for each in across if not -0.05 <= each <= width + 0.05]
    return bool(beyond or [each for each in down if not -0.05 <= each <= height + 0.05])


PLACES = ("x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "width", "height")


def check_picture(picture):
    """What holds for every picture."""
    for drawing in (picture.wide, picture.narrow):
        assert strays(drawing) == []
        assert looks(drawing) <= LOOKS & INKS
    assert picture.says
    assert picture.caption
