"""The string sets of W2 by a stranger's program, to the cent."""

from datetime import UTC, date, datetime

import pytest

DAY = date(2027, 3, 9)


@pytest.fixture
def make_material(program, clock):
    """Make a material of one family by its name and how it is kept; return its key."""
    clock(datetime(2027, 3, 9, 10, tzinfo=UTC))
    family = program("families_create", name="Tonewoods").id

    def make(name, kept_as):
        method = "actual" if kept_as == "piece" else "fifo"
        made = program(
            "materials_create",
            name=name,
            family=family,
            kept_as=kept_as,
            cost_method=method,
            unit="ea",
        )
        return made.id

    return make


def test_string_sets_are_made_up(program, make_material):
    prices = {"0.010": "20.40", "0.014": "20.40", "0.024 wound": "50.40", "0.036 wound": "50.40"}
    strings = [make_material(f"string {gauge}", "count") for gauge in prices]
    program(
        "deliveries_create",
        received_on=DAY,
        lines=[
            {"material": string, "quantity": "24", "price": price}
            for string, price in zip(strings, prices.values(), strict=True)
        ],
    )
    held = [program("materials_read", string).book_cost for string in strings]
    assert held == ["20.400", "20.400", "50.400", "50.400"]
    custom = make_material("Custom string set, 8", "count")
    parts = [{"material": string, "quantity": "2"} for string in strings]
    recipe = program("recipes_create", material=custom, parts=parts)
    lot = program("recipes_make", recipe.id, quantity="5")
    assert lot.remaining_cost == "59.000"
    program("materials_scrap", strings[0], quantity="1", why="broke")
    left = [program("materials_read", string) for string in strings]
    assert [one.on_hand for one in left] == ["13.000", "14.000", "14.000", "14.000"]
    assert [one.book_cost for one in left] == ["11.050", "11.900", "29.400", "29.400"]
    after = program("recipes_read", recipe.id)
    assert (after.makeable, after.limited_by) == (6, ["string 0.010"])
