"""The materials of a build looked back on: what was drawn, lost or never priced, and its worth."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from django.db.models import QuerySet, Sum

from inventory.base.calc.money import round_money
from inventory.base.calc.units import from_base
from inventory.base.queries import home_minor_unit
from inventory.models import Material, Reason
from quotes.base.calc.checks import HUNDRED
from quotes.base.calc.figures import plain
from quotes.closing.calc.material_outcome import (
    ActualMaterial,
    MaterialOutcome,
    QuotedMaterial,
    compare_material,
)
from quotes.models import Expense, Quote
from quotes.pricing.calc.basis import MaterialLine
from quotes.pricing.calc.offer import Offer
from quotes.pricing.calc.tax import cost_to_maker
from quotes.pricing.queries.costing import CostedLine, quantity_words
from shop.builds.queries.needs import BuildNeed, needs_of
from shop.models import Build, BuildDraw, BuildLine

NOTHING = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """What one draw took and did not come back: base units, and its cost in home money.

    minor_unit: the smallest amount of it.
    """

    line: int | None
    material: Material
    is_scrap: bool
    quantity: Decimal
    cost: Decimal
    minor_unit: Decimal

    def at_replacement(self, tax_percent: Decimal) -> Decimal:
        """Its own material's replacement price today, or its cost where there is none.

        Tax that can't be reclaimed comes on top of a price, and is in a cost already.
        """
        price = self.material.replacement_price
        if price is None:
            return self.cost
        quantity = from_base(self.quantity, self.material.unit)
        return round_money(cost_to_maker(quantity * price, tax_percent), self.minor_unit)

    @property
    def how(self) -> str:
        """How much was used, and what one is priced at."""
        unit, price = self.material.unit, self.material.replacement_price
        words = quantity_words(from_base(self.quantity, unit), unit)
        return f"{words} × {plain(price)}" if price is not None else f"{words}, at cost"


@dataclass(slots=True, kw_only=True)
class BuildMaterials:
    """A build's lines in order, everything drawn for it, and what was paid for lines by hand."""

    needs: Sequence[BuildNeed]
    drawn: Sequence[Drawn]
    minor_unit: Decimal
    paid: Mapping[int, Decimal] = field(default_factory=dict)

    @property
    def cost(self) -> Decimal:
        """What all of it cost, scrap and lines priced by hand among it."""
        return sum((row.cost for row in self.drawn), sum(self.paid.values(), NOTHING))

    @property
    def cost_at_the_end(self) -> Decimal:
        """The cost so far, and what is still to be drawn at its planned cost."""
        return self.cost + sum((self._to_come(need) for need in self.needs), NOTHING)

    def is_known(self, need: BuildNeed) -> bool:
        """Say whether a line has a cost, or was planned without one."""
        pk = need.line.pk
        return not need.line.planned_cost or pk in self.paid or bool(self.of_line(pk))

    def of_line(self, pk: int | None) -> list[Drawn]:
        """What was drawn for a line; for None, beside all lines."""
        return [row for row in self.drawn if row.line == pk]

    def wood_gain(self, tax_percent: Decimal) -> Decimal:
        """What the price of everything used rose by, each piece at its own material's price."""
        used = (row for row in self.drawn if not row.is_scrap)
        return sum((row.at_replacement(tax_percent) - row.cost for row in used), NOTHING)

    def _to_come(self, need: BuildNeed) -> Decimal:
        line = need.line
        if line.pk in self.paid or need.in_other_units:
            return NOTHING
        if not line.to_draw:
            return NOTHING if self.is_known(need) else line.planned_cost
        return round_money(line.planned_cost * need.still_needed / line.to_draw, self.minor_unit)


def materials_of(build: Build) -> BuildMaterials:
    """Gather a build's materials, as the books stand now."""
    paid: dict[int, Decimal] = defaultdict(Decimal)
    for line, amount in Expense.objects.filter(build=build, line__isnull=False).values_list(
        "line", "amount"
    ):
        paid[line or 0] += amount
    minor_unit = home_minor_unit()
    return BuildMaterials(
        needs=sorted(needs_of([build]), key=lambda need: need.line.position),
        drawn=list(_drawn(build, minor_unit)),
        minor_unit=minor_unit,
        paid=dict(paid),
    )


def lines_without_cost(build: Build) -> QuerySet[BuildLine]:
    """Return the lines for which nothing was drawn or priced, though a cost was planned."""
    of = materials_of(build)
    keys = [need.line.pk for need in of.needs if not of.is_known(need)]
    return BuildLine.objects.filter(pk__in=keys)


def _drawn(build: Build, minor_unit: Decimal) -> Iterable[Drawn]:
    draws = BuildDraw.objects.filter(build=build).select_related("entry__material__family")
    for draw in draws.annotate(
        back=Sum("entry__followed_by__quantity"), back_cost=Sum("entry__followed_by__cost")
    ).order_by("pk"):
        quantity = -draw.entry.quantity - (draw.back or NOTHING)
        cost = -draw.entry.cost - (draw.back_cost or NOTHING)
        if quantity or cost:
            yield Drawn(
                line=draw.line_id,
                material=draw.entry.material,
                is_scrap=draw.entry.reason == Reason.SCRAPPED,
                quantity=quantity,
                cost=cost,
                minor_unit=minor_unit,
            )


def material_outcomes(of: BuildMaterials, offer: Offer | None) -> tuple[MaterialOutcome, ...]:
    """Compare every line with what was quoted, then what was drawn beside all lines."""
    waste = [line.waste for line in offer.materials] if offer else []
    outcomes = [
        _outcome(of, need, waste[place] if place < len(waste) else NOTHING)
        for place, need in enumerate(of.needs)
    ]
    return (*outcomes, *_beside_the_list(of))


def _outcome(of: BuildMaterials, need: BuildNeed, waste: Decimal) -> MaterialOutcome:
    line = need.line
    paid = of.paid.get(line.pk, NOTHING)
    return compare_material(
        line.name,
        QuotedMaterial(quantity=line.to_draw, cost=line.planned_cost, waste=waste),
        ActualMaterial(
            quantity=need.used or (line.to_draw if paid else NOTHING),
            cost=need.used_cost + paid,
            scrap=need.scrapped_cost,
            substitute=line.material is not None
            and any(row.material != line.material for row in of.of_line(line.pk)),
        ),
        of.minor_unit,
        is_known=of.is_known(need),
    )


def _beside_the_list(of: BuildMaterials) -> Iterable[MaterialOutcome]:
    """What was drawn for the build and stands on no line of it: scrap is scrap here too."""
    by_name: dict[str, list[Drawn]] = defaultdict(list)
    for row in of.of_line(None):
        by_name[row.material.name].append(row)
    for name, rows in sorted(by_name.items()):
        kept = [row for row in rows if not row.is_scrap]
        actual = ActualMaterial(
            quantity=sum((row.quantity for row in kept), NOTHING),
            cost=sum((row.cost for row in kept), NOTHING),
            scrap=sum((row.cost for row in rows if row.is_scrap), NOTHING),
        )
        yield compare_material(name, QuotedMaterial(), actual, of.minor_unit)


def lines_to_charge(
    of: BuildMaterials, quote: Quote, costed: Sequence[CostedLine]
) -> tuple[MaterialLine, ...]:
    """Return what was really used, without scrap, at today's replacement prices.

    `costed` are the quote's rows in order. A line that was priced by hand costs what was paid, one
    without any cost counts as quoted. What was sold beside the instrument is left out.
    """
    tax = quote.bought_tax_rate * HUNDRED
    rows = dict(enumerate(costed))
    listed = (
        _to_charge(of, need, quote, rows.get(place), tax)
        for place, need in enumerate(of.needs)
        if place not in rows or not rows[place].row.tax_kind
    )
    beside = (
        MaterialLine(
            name=row.material.name,
            family=row.material.family.name,
            quantity="",
            cost=row.at_replacement(tax),
            markup_percent=quote.material_markup * HUNDRED,
            how=row.how,
        )
        for row in of.of_line(None)
        if not row.is_scrap
    )
    return (*listed, *beside)


def _to_charge(
    of: BuildMaterials, need: BuildNeed, quote: Quote, costed: CostedLine | None, tax: Decimal
) -> MaterialLine:
    line, row = need.line, costed.row if costed else None
    used = [one for one in of.of_line(line.pk) if not one.is_scrap]
    cost = sum((one.at_replacement(tax) for one in used), of.paid.get(line.pk, NOTHING))
    how = ", ".join(one.how for one in used) or "as paid"
    if not used and line.pk not in of.paid:
        cost, how = (costed.cost if costed else line.planned_cost), "as quoted: nothing was drawn"
    markup = quote.material_markup if row is None or row.markup is None else row.markup
    return MaterialLine(
        name=line.name,
        family=line.family.name if line.family else "Other",
        quantity="",
        cost=cost,
        markup_percent=markup * HUNDRED,
        how=how,
        key=f"material:{row.pk}" if row else "",
    )
