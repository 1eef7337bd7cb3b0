"""Every pair of colours that meets on a page can be told apart, in each theme, by day and night."""

import re
from pathlib import Path

import pytest

STATIC = Path("shop/static/shop")
TOKENS = (STATIC / "tokens.css").read_text()
COLOUR = re.compile(r"--([\w-]+): light-dark\((#[0-9a-f]{6}), (#[0-9a-f]{6})\);")

GROUNDS = ["paper", "sheet", "shade"]


def colours_in(css):
    return {name: (by_day, by_night) for name, by_day, by_night in COLOUR.findall(css)}


def palettes():
    ordinary, bench = TOKENS.split(':root[data-theme="contrast"]')
    plain = colours_in(ordinary)
    strong = plain | colours_in(bench)
    return {
        "paper": {name: pair[0] for name, pair in plain.items()},
        "evening": {name: pair[1] for name, pair in plain.items()},
        "bench by day": {name: pair[0] for name, pair in strong.items()},
        "bench by night": {name: pair[1] for name, pair in strong.items()},
    }


def luminance(colour):
    """Relative luminance of an sRGB colour; source: WCAG 2.2, "relative luminance"."""
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in channels
    ]
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    """Contrast ratio; source: WCAG 2.2, "contrast ratio"."""
    darker, lighter = sorted([luminance(one), luminance(other)])
    return (lighter + 0.05) / (darker + 0.05)


each_palette = pytest.mark.parametrize("palette", palettes().values(), ids=palettes())


# WCAG 2.2: contrast ratios "can range from 1 to 21"; black on white is the 21.
@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [("#000000", "#ffffff", 21), ("#777777", "#777777", 1)],
    ids=["black on white", "a colour on itself"],
)
def test_the_ratio_is_the_published_one(one, other, ratio):
    assert contrast(one, other) == pytest.approx(ratio)


# Success criterion 1.4.3, level AA: 4.5 to 1 for text.
@each_palette
@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("text", ["ink", "soft", "hand"])
def test_text_stands_out_from_every_ground(palette, text, ground):
    assert contrast(palette[text], palette[ground]) >= 4.5


@each_palette
def test_text_stands_out_on_the_wash_of_a_refusal(palette):
    assert contrast(palette["ink"], palette["hand-wash"]) >= 4.5
    assert contrast(palette["hand"], palette["hand-wash"]) >= 4.5


@each_palette
def test_the_word_on_the_main_button_stands_out(palette):
    assert contrast(palette["paper"], palette["ink"]) >= 4.5
    assert contrast(palette["paper"], palette["soft"]) >= 4.5


# Success criterion 1.4.11, level AA: 3 to 1 for what a control or a picture is known by.
@each_palette
@pytest.mark.parametrize("ground", ["paper", "sheet"])
@pytest.mark.parametrize("mark", ["edge", "tone-1", "tone-2", "tone-3"])
def test_edges_and_lines_of_pictures_stand_out(palette, mark, ground):
    assert contrast(palette[mark], palette[ground]) >= 3


# Success criterion 1.4.6, level AAA: 7 to 1 for text.
@pytest.mark.parametrize("name", ["bench by day", "bench by night"])
@pytest.mark.parametrize("text", ["ink", "soft", "hand"])
def test_the_bench_has_the_enhanced_contrast(name, text):
    palette = palettes()[name]
    assert contrast(palette[text], palette["paper"]) >= 7


def test_every_colour_has_a_day_and_a_night():
    assert TOKENS.count("#") == 2 * len(COLOUR.findall(TOKENS))


@pytest.mark.parametrize("sheet", sorted(STATIC.glob("*.css")), ids=lambda path: path.name)
def test_only_the_tokens_name_a_colour(sheet):
    if sheet.name != "tokens.css":
        assert re.findall(r"#[0-9a-fA-F]{3,8}\b|rgba?\(|hsla?\(", sheet.read_text()) == []


@pytest.mark.parametrize("sheet", sorted(STATIC.glob("*.css")), ids=lambda path: path.name)
def test_every_token_used_is_defined(sheet):
    used = set(re.findall(r"var\(--([\w-]+)\)", sheet.read_text()))
    assert used - set(re.findall(r"--([\w-]+):", TOKENS)) == set()
