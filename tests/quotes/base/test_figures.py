from decimal import Decimal

import pytest

from quotes.base.calc.figures import Figure, added_up, amount_of, find, plain, total, walk

STRINGS = Figure(name="Strings", amount=Decimal("11.80"), key="material:7")
GLUE = Figure(name="Glue", amount=Decimal("4.00"))
SUPPLIES = added_up("Supplies", [STRINGS, GLUE], key="supplies")


def test_a_figure_is_the_sum_of_its_parts():
    assert SUPPLIES.amount == total(SUPPLIES.parts) == Decimal("15.80")


def test_a_figure_that_is_not_the_sum_of_its_parts_cannot_exist():
    with pytest.raises(ValueError, match=r"Supplies come to 15\.80, not 15\.81"):
        Figure(name="Supplies", amount=Decimal("15.81"), parts=(STRINGS, GLUE))


def test_figures_open_in_reading_order():
    assert [figure.name for figure in walk([SUPPLIES, GLUE])] == [
        "Supplies",
        "Strings",
        "Glue",
        "Glue",
    ]


def test_a_figure_is_found_by_its_key_at_any_depth():
    assert find([SUPPLIES], "material:7") is STRINGS
    assert find([SUPPLIES], "nowhere") is None
    assert amount_of([SUPPLIES], "supplies") == Decimal("15.80")
    assert amount_of([SUPPLIES], "nowhere") == 0


@pytest.mark.parametrize(
    ("value", "text"),
    [("45.00", "45"), ("2.50", "2.5"), ("100", "100"), ("0", "0"), ("1E+2", "100")],
)
def test_numbers_are_written_plainly(value, text):
    assert plain(Decimal(value)) == text
