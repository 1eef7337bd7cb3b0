"""Wood and water of one piece: its weighings, the shop's rule, and what follows from both."""

from inventory.calc.seasoning import ReadyRule, Weighing
from inventory.models import Lot, StockRules


def stock_rules() -> StockRules:
    """The shop's own rules, or the defaults."""
    return StockRules.objects.first() or StockRules(pk=1)


def ready_rule(rules: StockRules | None = None) -> ReadyRule:
    """When wood counts as ready in this shop."""
    rules = rules or stock_rules()
    return ReadyRule(
        weighings=rules.ready_weighings,
        within=rules.ready_within / 100,
        days_apart=rules.ready_days_apart,
    )


def weighings_of(lot: Lot) -> list[Weighing]:
    """The weighings of a piece that stand, oldest first."""
    rows = (
        lot.weighings.filter(is_crossed_out=False)
        .order_by("weighed_on", "pk")
        .values_list("weighed_on", "grams")
    )
    return [Weighing(on, grams) for on, grams in rows]
