"""What a picture is made of: shapes in pixels of its own sheet, each with a look from the theme."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape, quoteattr

WIDE, NARROW = 960, 358
"""Widths of a picture on a desk and on a phone, in pixels, so that its words keep their size."""

LETTER = 7.0
"""Pixels that a letter of a picture takes, on the safe side."""

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line. look: classes of `pictures.css`."""

    x1: float
    y1: float
    x2: float
    y2: float
    look: str

    def svg(self) -> str:
        return element(
            "line",
            {"class": self.look},
            {"x1": self.x1, "y1": self.y1, "x2": self.x2, "y2": self.y2},
        )


@dataclass(frozen=True, slots=True)
class Bar:
    """A filled rectangle; `words` are shown by a pointer that rests on it."""

    x: float
    y: float
    width: float
    height: float
    look: str
    words: str = ""

    def svg(self) -> str:
        place = {"x": self.x, "y": self.y, "width": self.width, "height": self.height}
        return element("rect", {"class": self.look}, place, title(self.words))


@dataclass(frozen=True, slots=True)
class Dot:
    """A filled circle; `words` are shown by a pointer that rests on it."""

    x: float
    y: float
    radius: float
    look: str
    words: str = ""

    def svg(self) -> str:
        place = {"cx": self.x, "cy": self.y, "r": self.radius}
        return element("circle", {"class": self.look}, place, title(self.words))


@dataclass(frozen=True, slots=True)
class Curve:
    """A line through points."""

    points: tuple[Point, ...]
    look: str

    def svg(self) -> str:
        return element("polyline", {"class": self.look, "points": path_of(self.points)})


@dataclass(frozen=True, slots=True)
class Area:
    """A filled shape with points as its corners."""

    points: tuple[Point, ...]
    look: str

    def svg(self) -> str:
        return element("polygon", {"class": self.look, "points": path_of(self.points)})


@dataclass(frozen=True, slots=True)
class Words:
    """A line of text; `x` is its start, middle or end as `anchor` says."""

    x: float
    y: float
    text: str
    look: str = ""
    anchor: str = "start"

    def svg(self) -> str:
        given = {"class": self.look, "text-anchor": self.anchor}
        return element("text", given, {"x": self.x, "y": self.y}, escape(self.text))


Shape = Line | Bar | Dot | Curve | Area | Words


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """One sheet of shapes."""

    width: float
    height: float
    shapes: tuple[Shape, ...]

    def svg(self, look: str, says: str, style: str = "") -> str:
        """Write the sheet as an SVG element with a class and with words for who can't see it.

        On a page the classes take their looks from the theme; `style` is for paper.
        """
        given = {
            "class": look,
            "viewBox": f"0 0 {self.width:g} {self.height:g}",
            "role": "img",
            "aria-label": says,
        }
        parts = [f"<style>{escape(style)}</style>"] if style else []
        parts += [shape.svg() for shape in self.shapes]
        return element("svg", given, inner="\n".join(parts))


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A picture in two widths. says: what it shows, for who can't see it; caption: how to read it.

    A printed page takes the wide one.
    """

    wide: Drawing
    narrow: Drawing
    says: str
    caption: str


NOWHERE: Mapping[str, float] = {}


def element(
    name: str, given: Mapping[str, str], place: Mapping[str, float] = NOWHERE, inner: str = ""
) -> str:
    """Write one element: attributes `given` and, to a tenth of a pixel, of its `place`."""
    words = [f"{key}={quoteattr(value)}" for key, value in given.items() if value]
    words += [f'{key}="{round(value, 1):g}"' for key, value in place.items()]
    return f"<{' '.join([name, *words])}>{inner}</{name}>"


def title(words: str) -> str:
    """Write the words that a pointer brings up."""
    return f"<title>{escape(words)}</title>" if words else ""


def path_of(points: Sequence[Point]) -> str:
    """Write points as SVG takes them."""
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in points)


def swatches(key: Sequence[tuple[str, str]], left: float) -> Iterator[Shape]:
    """Yield one line of fills with what each means, at the top of a sheet."""
    for look, words in key:
        yield Bar(left, 2, 14, 12, look)
        yield Words(left + 21, 13, words)
        left += 21 + len(words) * LETTER + 18


def fitted(text: str, width: float) -> str:
    """Return `text`, cut with an ellipsis where it would be wider than `width` pixels."""
    letters = int(width / LETTER)
    return text if len(text) <= letters else text[: max(letters - 1, 1)].rstrip(" ,:(") + "…"
