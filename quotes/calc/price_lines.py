"""The lines of a price as figures: labour by stage, materials with their markup, bought things."""

from collections.abc import Iterable
from decimal import Decimal

from inventory.calc.money import round_money, share_out
from quotes.calc.basis import BoughtLine, MaterialLine, OwnLine, StageHours
from quotes.calc.checks import percent_of
from quotes.calc.figures import CENT, NOTHING, Figure, added_up, in_words, plain, total
from quotes.calc.margins import markup_words


def labour(stages: Iterable[StageHours], shop_rate: Decimal, unit: Decimal = CENT) -> Figure:
    """Charge each stage's hours at its own rate or the shop rate."""
    return added_up("Labour", (_stage(stage, shop_rate, unit) for stage in stages), key="labour")


def materials(lines: Iterable[MaterialLine], unit: Decimal = CENT) -> Figure:
    """Show the lines at cost under their families, then one markup for each percentage."""
    shown = [(line, _material(line, unit)) for line in lines]
    families = [
        added_up(name, figures, key=f"family:{name}") for name, figures in _by_family(shown).items()
    ]
    cost = added_up("Materials at replacement cost", families, key="materials-cost")
    return added_up("Materials", (cost, *_markups(shown, unit)), key="materials")


def bought(key: str, name: str, lines: Iterable[BoughtLine], unit: Decimal = CENT) -> Figure:
    """Show bought lines, each as its cost and the markup on it."""
    return added_up(name, (_bought_line(line, unit) for line in lines), key=key)


def own_line(line: OwnLine, unit: Decimal) -> Figure:
    """Show an amount that the maker set."""
    amount = round_money(line.amount, unit)
    return Figure(name=line.name, amount=amount, how=line.how, key=line.key or f"own:{line.name}")


def _stage(stage: StageHours, shop_rate: Decimal, unit: Decimal) -> Figure:
    rate = shop_rate if stage.rate is None else stage.rate
    return Figure(
        name=stage.name,
        amount=round_money(stage.hours * rate, unit),
        how=_joined(f"{plain(stage.hours)} h × {plain(rate)}", stage.how),
        key=stage.key or f"stage:{stage.name}",
    )


def _material(line: MaterialLine, unit: Decimal) -> Figure:
    return Figure(
        name=line.name,
        amount=round_money(line.cost, unit),
        how=_joined(line.quantity, line.how),
        key=line.key or f"material:{line.name}",
    )


def _by_family(shown: Iterable[tuple[MaterialLine, Figure]]) -> dict[str, list[Figure]]:
    families: dict[str, list[Figure]] = {}
    for line, figure in shown:
        families.setdefault(line.family, []).append(figure)
    return families


def _markups(shown: list[tuple[MaterialLine, Figure]], unit: Decimal) -> tuple[Figure, ...]:
    percents = dict.fromkeys(line.markup_percent for line, _ in shown if line.markup_percent)
    return tuple(
        _markup(
            percent, _by_family(pair for pair in shown if pair[0].markup_percent == percent), unit
        )
        for percent in percents
    )


def _markup(percent: Decimal, families: dict[str, list[Figure]], unit: Decimal) -> Figure:
    costs = [total(figures) for figures in families.values()]
    whole = sum(costs, NOTHING)
    shares = (
        share_out(round_money(percent_of(percent, whole), unit), costs, unit) if whole else costs
    )
    parts = (
        Figure(name=name, amount=share, how=f"share of {in_words(cost, unit)} at cost")
        for name, share, cost in zip(families, shares, costs, strict=True)
    )
    words = f"{markup_words(percent)} on {in_words(whole, unit)}"
    return added_up("Markup on materials", parts, key=f"markup:{plain(percent)}", how=words)


def _bought_line(line: BoughtLine, unit: Decimal) -> Figure:
    key = line.key or f"bought:{line.name}"
    cost = Figure(name=line.name, amount=round_money(line.cost, unit), how=line.how, key=key)
    if not line.markup_percent:
        return cost
    parts = (
        Figure(name="At cost", amount=cost.amount, how=line.how),
        Figure(
            name="Markup",
            amount=round_money(percent_of(line.markup_percent, cost.amount), unit),
            how=f"{markup_words(line.markup_percent)} on {in_words(cost.amount, unit)}",
        ),
    )
    return added_up(line.name, parts, key=key)


def _joined(*words: str) -> str:
    return "; ".join(word for word in words if word)
