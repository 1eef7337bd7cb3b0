"""How typed quantities are read."""

import re
from contextlib import suppress
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.base.calc.typed import plain_number, read_masses, read_quantity, read_sizes
from inventory.base.refusals import Refusal


@pytest.mark.parametrize(
    ("typed", "unit", "base"),
    [
        ("1.05", "m", "1050"),
        ("1,05", "m", "1050"),
        (" 12 in ", "mm", "304.8"),
        ('12"', "mm", "304.8"),
        ("2 3/4 in", "mm", "69.85"),
        ("3/4", "in", "19.05"),
        ("11/16 in", "mm", "17.463"),
        ("1 15/16", "in", "49.213"),
        ("250 ml", "l", "250"),
        ("0.5 KG", "g", "500"),
        ("2 dozen", "ea", "24"),
        ("0", "ea", "0"),
    ],
)
def test_a_quantity_is_read_in_its_own_unit_or_a_named_one(typed, unit, base):
    assert read_quantity(typed, unit) == Decimal(base)


@pytest.mark.parametrize(
    ("typed", "unit", "words"),
    [
        ("", "m", "is not a quantity"),
        ("many", "m", "is not a quantity"),
        ("-3", "m", "is not a quantity"),
        ("1.2.3", "m", "is not a quantity"),
        ("nan", "m", "is not a quantity"),
        ("1e9", "m", "not a unit of length"),
        ("3 kg", "m", "not a unit of length"),
        ("1/0", "m", "you can't divide by 0"),
        ("9" * 20, "m", "is too large"),
    ],
)
def test_what_is_no_quantity_is_refused_in_words(typed, unit, words):
    with pytest.raises(Refusal, match=words):
        read_quantity(typed, unit)


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused(typed):
    with suppress(Refusal):
        assert read_quantity(typed, "m") >= 0


@given(st.decimals(0, 10**6, places=3))
def test_what_is_shown_in_base_units_is_read_back_as_it_was(amount):
    assert read_quantity(f"{amount:f}", "mm") == amount


@pytest.mark.parametrize(
    ("typed", "unit", "sizes"),
    [
        ("430 × 150 × 17.5", "mm", ("430", "150", "17.5")),
        ("430 150 17,5", "mm", ("430", "150", "17.5")),
        ("17 x 5 7/8 x 11/16", "in", ("431.8", "149.225", "17.463")),
        ("17 x 6 x 1 in", "mm", ("431.8", "152.4", "25.4")),
        ("430 mm × 6 × 1", "in", ("430", "152.4", "25.4")),
    ],
    ids=["signs", "spaces", "fractions", "a unit behind holds for all", "a unit of its own"],
)
def test_sizes_are_read_one_after_the_other(typed, unit, sizes):
    assert read_sizes(typed, unit) == tuple(map(Decimal, sizes))


@pytest.mark.parametrize("typed", ["430 × 0 × 17", "430 × wide × 17", "", "×"])
def test_what_is_no_size_is_refused(typed):
    with pytest.raises(Refusal):
        read_sizes(typed, "mm")


@given(st.text(max_size=30))
def test_any_text_is_read_as_sizes_or_masses_or_refused(typed):
    with suppress(Refusal):
        assert all(size > 0 for size in read_sizes(typed, "mm"))
    with suppress(Refusal):
        assert all(mass > 0 for mass in read_masses(typed, "oz"))


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("12.50", "12.50"), ("12,50", "12.50"), (" 6,5 ", "6.5"), (",5", ".5"), ("-3,25", "-3.25"),
        ("1,252.80", "1252.80"), ("1.252,80", "1252.80"), ("1,250,000", "1250000"),
        ("1.250.000", "1250000"), ("1.250", "1.250"), ("0,125", "0.125"), ("1170", "1170"),
        ("", ""), ("ten", "ten"), ("1,2,3", "1,2,3"), ("1,25.8", "1,25.8"),
    ],
)  # fmt: skip
def test_a_number_is_read_with_a_point_or_a_comma(typed, read):
    assert plain_number(typed) == read


@pytest.mark.parametrize("typed", ["1,250", "12,500", "-1,250"])
def test_a_number_that_can_be_read_two_ways_is_asked_for_again(typed):
    sentence = f"mean {typed.replace(',', '')} or {typed.replace(',', '.')}. Write the one"
    with pytest.raises(Refusal, match=re.escape(sentence)):
        plain_number(typed)


@given(amount=st.decimals(0, 10**9, places=2))
def test_money_as_it_is_shown_is_read_as_it_was(amount):
    assert Decimal(plain_number(f"{amount:,.2f}")) == amount
