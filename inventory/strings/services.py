"""Write down the strings of a set, for an instrument and its scale length."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db import transaction

from inventory.base.refusals import Refusal
from inventory.kits.services import save_recipe
from inventory.models import Material, Recipe, SetString, SingleString, StringSet
from inventory.strings.calc.string_sets import PlannedString, pull_of

MOST_OF_A_PITCH = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class StringChosen:
    """A string that the shop keeps, the pitch it is tuned to, and what is known of it.

    Where nothing is said of its end, what was known of it stays.
    """

    material: Material
    string: PlannedString
    end: str = ""


@transaction.atomic
def save_string_set(
    *,
    material: Material,
    scale_mm: Decimal,
    strings: Sequence[StringChosen],
    instrument: str = "",
    note: str = "",
) -> StringSet:
    """Replace the strings of `material`, in their order, and its recipe by them.

    What is known of each single string is kept for all sets. Parts of the recipe that are no
    string, such as a sleeve, stay. Raises Refusal for a pitch or gauge that can't be, or a single
    that is told in two ways.
    """
    if not strings:
        raise Refusal("A set needs at least one string.")
    if any(not 0 < one.string.count <= MOST_OF_A_PITCH for one in strings):
        raise Refusal(f"A pitch can have 1 to {MOST_OF_A_PITCH} strings.", field="count")
    pull_of([one.string for one in strings], scale_mm)
    singles = {one.material.pk: _single(one, strings) for one in strings}
    recipe = _write_parts(material, strings)
    row, _ = StringSet.objects.update_or_create(
        recipe=recipe, defaults={"instrument": instrument, "scale_mm": scale_mm, "note": note}
    )
    row.strings.all().delete()
    SetString.objects.bulk_create(
        SetString(
            string_set=row,
            position=position,
            single=singles[one.material.pk],
            pitch=one.string.pitch,
            count=one.string.count,
        )
        for position, one in enumerate(strings, start=1)
    )
    return row


def _single(chosen: StringChosen, strings: Sequence[StringChosen]) -> SingleString:
    """Keep what is known of one string."""
    same = [one for one in strings if one.material.pk == chosen.material.pk]
    ends = {one.end for one in same if one.end}
    facts = {(one.string.gauge, one.string.grams_per_metre) for one in same}
    if len(facts) > 1 or len(ends) > 1:
        raise Refusal(
            f"{chosen.material} is listed with two different gauges, weights or ends.",
            field="gauge",
        )
    gauge, grams_per_metre = facts.pop()
    known = {"gauge": gauge, "grams_per_metre": grams_per_metre}
    said = {"end": ends.pop()} if ends else {}
    return SingleString.objects.update_or_create(
        material=chosen.material, defaults={**known, **said}
    )[0]


def _write_parts(material: Material, strings: Sequence[StringChosen]) -> Recipe:
    wanted: dict[Material, Decimal] = {}
    for one in strings:
        wanted[one.material] = wanted.get(one.material, Decimal(0)) + one.string.count
    was = Recipe.objects.filter(material=material).first()
    others = was.parts.filter(material__string=None).select_related("material") if was else ()
    rest = [(part.material, part.quantity) for part in others if part.material not in wanted]
    return save_recipe(material=material, parts=[*wanted.items(), *rest])
