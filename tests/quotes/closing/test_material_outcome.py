from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.closing.calc.material_outcome import (
    ActualMaterial,
    MaterialOutcome,
    QuotedMaterial,
    add_up_materials,
    compare_material,
)
from tests.quotes.strategies import cents

# 3 m of binding quoted at 4.00 a metre with 1.80 for waste; the expected parts are computed.
BINDING = QuotedMaterial(quantity=Decimal(3), cost=Decimal("13.80"), waste=Decimal("1.80"))


@pytest.mark.parametrize(
    ("actual", "price", "quantity", "scrap", "substitute"),
    [
        ({"quantity": "3", "cost": "12", "scrap": "1.80"}, "0", "0", "0", "0"),
        ({"quantity": "3", "cost": "13.50", "scrap": "1.80"}, "1.50", "0", "0", "0"),
        ({"quantity": "3.5", "cost": "14", "scrap": "1.80"}, "0", "2", "0", "0"),
        ({"quantity": "3.5", "cost": "15.75", "scrap": "9"}, "1.75", "2", "7.20", "0"),
        ({"quantity": "0", "cost": "0", "scrap": "0"}, "0", "-12", "-1.80", "0"),
        ({"quantity": "3", "cost": "20", "scrap": "0", "substitute": "1"}, "0", "0", "-1.80", "8"),
    ],
    ids=["as quoted", "dearer", "more of it", "all at once", "not drawn", "another material"],
)
def test_a_difference_is_split_by_its_reasons(actual, price, quantity, scrap, substitute):
    substituted = bool(actual.pop("substitute", ""))
    drawn = {name: Decimal(value) for name, value in actual.items()}
    outcome = compare_material("Binding", BINDING, ActualMaterial(**drawn, substitute=substituted))
    parts = (outcome.price, outcome.quantity, outcome.scrap, outcome.substitute)
    assert parts == tuple(map(Decimal, (price, quantity, scrap, substitute)))


def test_what_was_not_quoted_is_quantity():
    drawn = ActualMaterial(quantity=Decimal(1), cost=Decimal("8.00"))
    assert compare_material("Strap button", QuotedMaterial(), drawn).quantity == Decimal("8.00")


def test_a_share_quoted_without_a_quantity_differs_in_price():
    glue = QuotedMaterial(cost=Decimal("4.00"))
    drawn = ActualMaterial(quantity=Decimal(30), cost=Decimal("5.00"))
    assert compare_material("Glue", glue, drawn).price == Decimal("1.00")


quantities = st.decimals(0, 500, places=3)
quoteds = st.builds(QuotedMaterial, quantity=quantities, cost=cents(), waste=cents(most=5000))
actuals = st.builds(
    ActualMaterial, quantity=quantities, cost=cents(), scrap=cents(), substitute=st.booleans()
)


@given(quoted=quoteds, actual=actuals)
def test_the_parts_add_up_to_the_difference_exactly(quoted, actual):
    outcome = compare_material("Any", quoted, actual)
    assert outcome.difference == actual.cost + actual.scrap - quoted.cost
    assert outcome.difference == (
        outcome.price + outcome.quantity + outcome.scrap + outcome.substitute
    )


@given(st.lists(st.tuples(quoteds, actuals), max_size=5))
def test_the_total_is_the_sum_of_the_lines(pairs):
    outcomes = [compare_material("Any", *pair) for pair in pairs]
    total = add_up_materials(outcomes)
    assert total.difference == sum(outcome.difference for outcome in outcomes)
    assert total.scrap == sum(outcome.scrap for outcome in outcomes)


def test_parts_that_do_not_add_up_cannot_exist():
    zero = Decimal(0)
    with pytest.raises(ValueError, match="Binding: the parts come to 0, not 1"):
        MaterialOutcome(
            name="Binding",
            quoted=zero,
            actual=Decimal(1),
            price=zero,
            quantity=zero,
            scrap=zero,
            substitute=zero,
        )
