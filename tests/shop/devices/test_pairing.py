"""Codes that are read aloud and typed with one thumb."""

import pytest

from shop.base.calc import ALPHABET, digest, plain_code, written


def test_a_code_is_shown_in_two_groups():
    assert written("7K4Q2MXD") == "7K4Q-2MXD"


@pytest.mark.parametrize("typed", ["7k4q2mxd", "7K4Q-2MXD", " 7k4q 2mxd ", "7K402MXD"])
def test_however_it_is_typed_it_is_the_same_code(typed):
    assert (plain_code(typed), digest(typed)) == ("7K4Q2MXD", digest("7K4Q2MXD"))


def test_no_letter_of_a_code_looks_like_another():
    assert not set(ALPHABET) & set("01OIL")
