"""Sets of strings: their pull, string by string, and to whom they went."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q, QuerySet

from inventory.models import Reason, SetString, StockEntry, StringSet
from inventory.shelf.queries.traces import fill_holder_names, with_holder_names
from inventory.strings.calc.string_sets import PlannedString, SetPull, StringPull, pull_of

MOST_FITTINGS = 10
MOST_ENTRIES = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class StringRow:
    """A string of a set with what it pulls with."""

    row: SetString
    pull: StringPull


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitting:
    """Whoever such a set was drawn for, and when."""

    holder: str
    holder_name: str
    happened_at: datetime


def string_sets() -> QuerySet[StringSet]:
    """Every set with its strings and recipe, in four queries."""
    rows = StringSet.objects.select_related("recipe__material")
    return rows.prefetch_related("strings__single__material", "recipe__parts__material")


def pull_of_set(row: StringSet) -> SetPull:
    """What a set pulls with."""
    return pull_of([planned(string) for string in row.strings.all()], row.scale_mm)


def rows_of(row: StringSet, pull: SetPull) -> list[StringRow]:
    """The strings of a set, each beside its pull."""
    strings = zip(row.strings.all(), pull.strings, strict=True)
    return [StringRow(row=string, pull=one) for string, one in strings]


def planned(string: SetString) -> PlannedString:
    """A string of a set as plain data."""
    return PlannedString(
        pitch=string.pitch,
        gauge=string.single.gauge,
        count=string.count,
        grams_per_metre=string.single.grams_per_metre,
    )


def fittings_of(row: StringSet) -> list[Fitting]:
    """Whom the set was drawn for, made up or straight from its strings; the latest first."""
    material = row.recipe.material
    singles = [string.single_id for string in row.strings.all()]
    entries = StockEntry.objects.filter(
        Q(material=material) | Q(material__in=singles, note=f"for {material}"),
        reason=Reason.DRAWN,
    ).exclude(holder="")
    found: dict[str, Fitting] = {}
    latest = list(with_holder_names(entries).order_by("-happened_at")[:MOST_ENTRIES])
    fill_holder_names(latest)
    for entry in latest:
        name: str = entry.holder_name  # type: ignore[attr-defined]
        fitting = Fitting(holder=entry.holder, holder_name=name, happened_at=entry.happened_at)
        found.setdefault(entry.holder, fitting)
    return list(found.values())[:MOST_FITTINGS]
