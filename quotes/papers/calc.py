"""Whether a colour can be read on paper."""

from quotes.papers.refusals import NoColour, TooPale

LEAST_CONTRAST = 4.5
"""Between letters and white: WCAG 2.2, success criterion 1.4.3."""


def check_readable(colour: str) -> None:
    """Refuse what is no colour (`#rrggbb`), and one that is hard to read on white."""
    if len(colour) != 7 or colour[0] != "#" or not set(colour[1:]) <= set("0123456789abcdefABCDEF"):
        raise NoColour(colour)
    if contrast_on_white(colour) < LEAST_CONTRAST:
        raise TooPale(colour)


def contrast_on_white(colour: str) -> float:
    """Return the contrast of `#rrggbb` on white, 1 to 21, as WCAG 2.2 defines it."""
    red, green, blue = (_linear(int(colour[at : at + 2], 16) / 255) for at in (1, 3, 5))
    return 1.05 / (0.2126 * red + 0.7152 * green + 0.0722 * blue + 0.05)


def _linear(part: float) -> float:
    return part / 12.92 if part <= 0.04045 else float(((part + 0.055) / 1.055) ** 2.4)
