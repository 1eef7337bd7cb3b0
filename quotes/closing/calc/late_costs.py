"""A close-out corrected by costs that became known after the day it was kept."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

from quotes.base.calc.figures import NOTHING
from quotes.closing.calc.close_out import Profits, three_profits
from quotes.closing.calc.material_outcome import MaterialOutcome
from quotes.closing.calc.sheet import CloseOutSheet, MoneyOutcome


def with_late_costs(
    sheet: CloseOutSheet,
    outcomes: Mapping[int, MaterialOutcome],
    *,
    by_hand: Decimal = NOTHING,
    wood_gain: Decimal = NOTHING,
) -> CloseOutSheet:
    """Put `outcomes` in the places of material lines that had no cost, and all that hangs on it.

    `by_hand` is what of them was paid beside stock, `wood_gain` what the price of what was drawn
    for them rose by. Nothing else changes: hours, payments and prices stay as they were kept.
    """
    lines = [outcomes.get(place, line) for place, line in enumerate(sheet.materials)]
    added = sum(
        (line.actual - sheet.materials[place].actual for place, line in outcomes.items()), NOTHING
    )
    money = sheet.money and _with_cost(sheet.money, added, by_hand, wood_gain)
    return replace(sheet, materials=tuple(lines), money=money)


def _with_cost(
    money: MoneyOutcome, added: Decimal, by_hand: Decimal, wood_gain: Decimal
) -> MoneyOutcome:
    if money.earnings is None:
        return money
    earnings = replace(money.earnings, materials=money.earnings.materials + added)
    profits: Profits | None = money.profits
    if profits is not None:
        profits = three_profits(
            earnings,
            wood_gain=profits.wood_gain + wood_gain,
            cash_in=profits.cash,
            cash_out=by_hand,
        )
    return replace(money, earnings=earnings, profits=profits)
