"""What a tax choice leaves to be asked; the list of member states is stdnum's."""

import pytest

from quotes.pricing.calc.tax import TaxCategory
from quotes.pricing.calc.union_supply import Buyer, in_the_same_union, tax_caution


@pytest.mark.parametrize(
    ("shop", "other", "expected"),
    [("NL", "BE", True), ("NL", "NL", False), ("NL", "CH", False), ("GB", "BE", False)],
)
def test_only_two_different_member_states_are_in_one_union(shop, other, expected):
    assert in_the_same_union(shop, other) is expected


@pytest.mark.parametrize(
    ("category", "country", "has_number", "says"),
    [
        ("K", "BE", True, ""),
        ("K", "BE", False, "needs both tax numbers"),
        ("K", "CH", True, "from one member state to another"),
        ("K", "NL", True, "from one member state to another"),
        ("G", "CH", False, ""),
        ("G", "BE", False, "countries outside the union"),
        ("S", "BE", True, "Ask your accountant"),
        ("S", "BE", False, ""),
        ("S", "NL", True, ""),
        ("AE", "BE", True, ""),
    ],
)
def test_a_choice_that_does_not_go_together_is_pointed_out(category, country, has_number, says):
    said = tax_caution(TaxCategory(category), Buyer(country=country, has_number=has_number), "NL")
    assert says in said
    assert bool(says) is bool(said)
