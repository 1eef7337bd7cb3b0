"""What builds need of each material: used, lost, promised, and still short."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import Prefetch, Q, Sum

from inventory.base.calc.units import base_unit
from inventory.models import Lot, Material, Promise, Reason
from inventory.reservations.queries import lacking_of
from shop.models import Build, BuildDraw, BuildLine

_ZERO = Decimal(0)


@dataclass(slots=True, kw_only=True)
class BuildNeed:
    """One line of a build: quantities in base units, costs in home money.

    `used` is what was drawn and not brought back, `scrapped` what was lost on the way. What was
    drawn in other units than the line's, as a substitute, adds its cost only: `in_other_units`.
    `promised` is what the shelf still keeps for it; `lacking` was promised and has been taken for
    something else since, the pieces among it are `lost`.
    """

    line: BuildLine
    used: Decimal = _ZERO
    used_cost: Decimal = _ZERO
    scrapped: Decimal = _ZERO
    scrapped_cost: Decimal = _ZERO
    promised: Decimal = _ZERO
    pieces: list[Lot] = field(default_factory=list)
    lacking: Decimal = _ZERO
    lost: list[Lot] = field(default_factory=list)
    in_other_units: bool = False

    @property
    def still_needed(self) -> Decimal:
        return max(self.line.to_draw - self.used, _ZERO)

    @property
    def short(self) -> Decimal:
        """What is neither drawn nor promised."""
        return max(self.still_needed - self.promised, _ZERO)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shortage:
    """What a line lacks, in base units, and when it could be here if it is ordered today.

    `free` is what lies on the shelf for nobody.
    """

    line: BuildLine
    missing: Decimal
    free: Decimal
    supplier_name: str
    lead_time_days: int | None
    here_by: date | None


def needs_of(builds: Iterable[Build]) -> list[BuildNeed]:
    """Return the needs of `builds`, line by line, in eight queries whatever their number."""
    by_key = {build.pk: build for build in builds}
    # Lines of many builds name the same few materials: each is read once, not joined to each line.
    lines = (
        BuildLine.objects.filter(build__in=by_key)
        .select_related("stage")
        .prefetch_related(
            "family",
            Prefetch("material", Material.objects.select_related("supplier")),
            "template_line",
        )
    )
    needs = {line.pk: BuildNeed(line=line) for line in lines}
    for need in needs.values():
        need.line.build = by_key[need.line.build_id]
    # Added up from the journal each time: a figure kept beside it would have to follow every
    # return and correction.
    _add_draws(needs)
    _add_promises(needs)
    return list(needs.values())


def named_shortages(needs: Iterable[BuildNeed], on: date) -> list[Shortage]:
    """Return what is short of materials that the shop keeps, if it is ordered on the day `on`.

    Glue by the drop is no shortage.
    """
    return [_shortage(need, on) for need in needs if need.line.material and need.short > 0]


def lines_unnamed(build: Build) -> int:
    """Return how many lines of `build` name no material of the shop yet."""
    return BuildLine.objects.filter(build=build, material=None).count()


def drawn_costs(build: Build) -> dict[str, Decimal]:
    """Return what stayed in a build and what was lost on it, on its lines or beside them."""
    draws = BuildDraw.objects.filter(build=build).order_by()
    is_scrap = Q(entry__reason=Reason.SCRAPPED)
    own = {"used_cost": _ZERO, "scrapped_cost": _ZERO}
    for cost in ("entry__cost", "entry__followed_by__cost"):
        sums = draws.aggregate(
            used_cost=Sum(cost, filter=~is_scrap), scrapped_cost=Sum(cost, filter=is_scrap)
        )
        own = {name: before - (sums[name] or _ZERO) for name, before in own.items()}
    return own


def _add_draws(needs: dict[int, BuildNeed]) -> None:
    """Add what was drawn and scrapped, less what came back or was corrected since."""
    of_lines = BuildDraw.objects.filter(line__in=needs).order_by()
    draws = of_lines.values("line", "entry__reason", "entry__material__kept_as")
    own = draws.annotate(quantity=Sum("entry__quantity"), cost=Sum("entry__cost"))
    followed = draws.filter(entry__followed_by__isnull=False).annotate(
        quantity=Sum("entry__followed_by__quantity"), cost=Sum("entry__followed_by__cost")
    )
    for row in [*own, *followed]:
        _count(needs[row["line"]], row)


def _count(need: BuildNeed, row: Mapping[str, Any]) -> None:
    quantity, cost = -row["quantity"], -row["cost"]
    material = need.line.material
    if material and base_unit(row["entry__material__kept_as"]) != material.base_unit:
        quantity, need.in_other_units = _ZERO, True
    if row["entry__reason"] == Reason.SCRAPPED:
        need.scrapped += quantity
        need.scrapped_cost += cost
    else:
        need.used += quantity
        need.used_cost += cost


def _add_promises(needs: dict[int, BuildNeed]) -> None:
    of_line = {(need.line.build.holder, need.line.key): need for need in needs.values()}
    promises = Promise.objects.filter(
        holder__in={holder for holder, _ in of_line}, outstanding__gt=0
    ).select_related("lot__place", "lot__piece", "lot__material")
    lacking = lacking_of(promises)
    for promise in promises:
        need = of_line.get((promise.holder, promise.line))
        if need is None:
            continue
        gone = lacking.get(promise.pk, _ZERO)
        need.promised += promise.outstanding - gone
        need.lacking += gone
        if promise.lot:
            (need.lost if gone else need.pieces).append(promise.lot)


def _shortage(need: BuildNeed, on: date) -> Shortage:
    material = need.line.material
    days = material.lead_time if material else None
    return Shortage(
        line=need.line,
        missing=need.short,
        free=max(material.free, _ZERO) if material else _ZERO,
        supplier_name=str(material.supplier or "") if material else "",
        lead_time_days=days,
        here_by=None if days is None else on + timedelta(days=days),
    )
