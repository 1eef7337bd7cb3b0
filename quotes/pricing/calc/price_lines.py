"""The lines of a price as figures: labour by stage, materials with their markup, bought things."""

from collections.abc import Iterable
from decimal import Decimal

from inventory.base.calc.money import round_money, share_out
from quotes.base.calc.checks import percent_of
from quotes.base.calc.figures import CENT, NOTHING, Figure, added_up, money_in_words, plain, total
from quotes.pricing.calc.basis import BoughtLine, MaterialLine, OwnLine, StageHours
from quotes.pricing.calc.margins import markup_words


def labour(stages: Iterable[StageHours], shop_rate: Decimal, minor_unit: Decimal = CENT) -> Figure:
    """Charge each stage's hours at its own rate or the shop rate."""
    return added_up(
        "Labour", (_stage(stage, shop_rate, minor_unit) for stage in stages), key="labour"
    )


def materials(lines: Iterable[MaterialLine], minor_unit: Decimal = CENT) -> Figure:
    """Show the lines at cost under their families, then one markup for each percentage."""
    shown = [(line, _material(line, minor_unit)) for line in lines]
    families = [
        added_up(name, figures, key=f"family:{name}") for name, figures in _by_family(shown).items()
    ]
    cost = added_up("Materials at replacement price", families, key="materials-cost")
    return added_up("Materials", (cost, *_markups(shown, minor_unit)), key="materials")


def bought(key: str, name: str, lines: Iterable[BoughtLine], minor_unit: Decimal = CENT) -> Figure:
    """Show bought lines, each as its cost and the markup on it."""
    return added_up(name, (_bought_line(line, minor_unit) for line in lines), key=key)


def own_line(line: OwnLine, minor_unit: Decimal) -> Figure:
    """Show an amount that the maker set."""
    amount = round_money(line.amount, minor_unit)
    return Figure(name=line.name, amount=amount, how=line.how, key=line.key or f"own:{line.name}")


def _stage(stage: StageHours, shop_rate: Decimal, minor_unit: Decimal) -> Figure:
    rate = shop_rate if stage.rate is None else stage.rate
    return Figure(
        name=stage.name,
        amount=round_money(stage.hours * rate, minor_unit),
        how=_joined(f"{plain(stage.hours)} h × {plain(rate)}", stage.how),
        key=stage.key or f"stage:{stage.name}",
    )


def _material(line: MaterialLine, minor_unit: Decimal) -> Figure:
    return Figure(
        name=line.name,
        amount=round_money(line.cost, minor_unit),
        how=_joined(line.quantity, line.how),
        key=line.key or f"material:{line.name}",
    )


def _by_family(shown: Iterable[tuple[MaterialLine, Figure]]) -> dict[str, list[Figure]]:
    families: dict[str, list[Figure]] = {}
    for line, figure in shown:
        families.setdefault(line.family, []).append(figure)
    return families


def _markups(shown: list[tuple[MaterialLine, Figure]], minor_unit: Decimal) -> tuple[Figure, ...]:
    percents = dict.fromkeys(line.markup_percent for line, _ in shown if line.markup_percent)
    return tuple(
        _markup(
            percent,
            _by_family(pair for pair in shown if pair[0].markup_percent == percent),
            minor_unit,
        )
        for percent in percents
    )


def _markup(percent: Decimal, families: dict[str, list[Figure]], minor_unit: Decimal) -> Figure:
    costs = [total(figures) for figures in families.values()]
    whole = sum(costs, NOTHING)
    shares = (
        share_out(round_money(percent_of(percent, whole), minor_unit), costs, minor_unit)
        if whole
        else costs
    )
    parts = (
        Figure(name=name, amount=share, how=f"share of {money_in_words(cost, minor_unit)} at cost")
        for name, share, cost in zip(families, shares, costs, strict=True)
    )
    words = f"{markup_words(percent)} on {money_in_words(whole, minor_unit)}"
    return added_up("Markup on materials", parts, key=f"markup:{plain(percent)}", how=words)


def _bought_line(line: BoughtLine, minor_unit: Decimal) -> Figure:
    key = line.key or f"bought:{line.name}"
    cost = Figure(name=line.name, amount=round_money(line.cost, minor_unit), how=line.how, key=key)
    if not line.markup_percent:
        return cost
    parts = (
        Figure(name="At cost", amount=cost.amount, how=line.how),
        Figure(
            name="Markup",
            amount=round_money(percent_of(line.markup_percent, cost.amount), minor_unit),
            how=f"{markup_words(line.markup_percent)} on {money_in_words(cost.amount, minor_unit)}",
        ),
    )
    return added_up(line.name, parts, key=key)


def _joined(*words: str) -> str:
    return "; ".join(word for word in words if word)
