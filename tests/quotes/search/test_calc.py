import pytest

from quotes.search.calc import excerpt, named_by, nearest_word, rank, terms_of


def test_what_was_typed_is_split_and_cut():
    assert terms_of("  Osric\tPondweed\x00 ") == ["Osric", "Pondweed"]
    assert len(terms_of("a " * 50)) == 6
    assert terms_of("x" * 900) == ["x" * 40]
    assert terms_of("- % *") == []


@pytest.mark.parametrize(
    ("title", "typed", "expected"),
    [
        ("T-0412 Spruce wedge set", "t-0412", 0),
        ("Osric Pondweed", "osric pondweed", 0),
        ("Spruce wedge set", "spru", 1),
        ("T-0412 Spruce wedge set", "wedge spru", 2),
        ("Lune Farthing-Quill", "quill", 2),
        ("T-0412 Spruce wedge set", "412", 2),
        ("Maple board", "spruce", 3),
    ],
)
def test_the_better_a_title_answers_the_lower_its_rank(title, typed, expected):
    assert rank(title, typed.split()) == expected


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("ozric", "osric"), ("boozouki", "bouzouki"), ("mapel", "maple"), ("zzzzz", "")],
)
def test_a_misspelt_word_is_the_one_most_like_it(typed, meant):
    assert nearest_word(typed, ["osric", "pondweed", "electric", "bouzouki", "maple"]) == meant


def test_an_excerpt_is_cut_around_the_first_term():
    words = "a " * 100 + "needle " + "b " * 100
    assert "needle" in excerpt(words, ["needle"])
    assert excerpt("short", ["absent"]) == "short"


def test_a_number_is_named_with_and_without_its_zeros_and_a_name_without_accents():
    assert named_by("T-0412 Böhm & Söhne") == ["t", "0412", "bohm", "sohne", "412"]
