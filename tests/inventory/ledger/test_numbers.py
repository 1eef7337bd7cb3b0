import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.ledger.calc.numbers import (
    LETTERS,
    PieceNumber,
    format_piece_number,
    letter_of,
    parse_piece_number,
    part_numbers,
)


@pytest.mark.parametrize(
    ("typed", "number"),
    [
        ("T-0412", "T-0412"),
        ("t412", "T-0412"),
        (" T 0412 ", "T-0412"),
        ("T–412", "T-0412"),
        ("t.412", "T-0412"),
        ("412", "0412"),
        ("0412", "0412"),
        ("T-00412", "T-0412"),
        ("T-12345", "T-12345"),
        ("T-0412A", "T-0412A"),
        ("t412 b", "T-0412B"),
        ("412h", "0412H"),
    ],
)
def test_a_number_is_read_however_it_is_typed(typed, number):
    assert str(parse_piece_number(typed)) == number


@pytest.mark.parametrize("typed", ["", "T", "T-", "TT-1", "4 12", "T-0", "spruce 412", "412T"])
def test_what_is_no_number_is_none(typed):
    assert parse_piece_number(typed) is None


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("412", "T-0412", True),
        ("T412", "T-0412", True),
        ("S412", "T-0412", False),
        ("413", "T-0412", False),
    ],
)
def test_digits_alone_match_under_any_letter(one, other, same):
    assert parse_piece_number(one).matches(parse_piece_number(other)) is same


@pytest.mark.parametrize("letter", ["I", "O", "Q", "é", "", "TT", "1"])
def test_letters_that_are_misread_are_not_given_out(letter):
    with pytest.raises(ValueError, match="not a letter for a piece"):
        format_piece_number(letter, 1)


def test_pieces_are_numbered_from_one():
    with pytest.raises(ValueError, match="from 1"):
        format_piece_number("T", 0)


@given(letter=st.sampled_from(LETTERS), serial=st.integers(1, 99_999))
def test_what_is_written_is_read_back(letter, serial):
    assert parse_piece_number(format_piece_number(letter, serial)) == PieceNumber(letter, serial)


@pytest.mark.parametrize(
    ("family", "letter"),
    [("Tonewoods", "T"), ("Inlay", "N"), ("oil and wax", "L"), ("Öl", "L"), ("木材", "X")],
)
def test_a_family_gives_the_first_letter_that_can_be_read_off_the_wood(family, letter):
    assert letter_of(family) == letter
    assert parse_piece_number(format_piece_number(letter, 412)) == PieceNumber(letter, 412)


def test_parts_of_a_set_are_numbered_by_letters_behind_its_number():
    assert part_numbers("T-0412", 2) == ["T-0412A", "T-0412B"]
    with pytest.raises(ValueError, match="at most 8"):
        part_numbers("T-0412", 9)


def test_digits_may_mean_a_set_or_any_of_its_parts_under_any_letter():
    meant = parse_piece_number("412").written
    assert {"T-0412", "T-0412A", "B-0412H"} <= set(meant)
    assert parse_piece_number("T-412").written == ["T-0412"]
