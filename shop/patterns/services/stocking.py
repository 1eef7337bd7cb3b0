"""Materials made from the lines of a template, and taken back."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from django.db import transaction
from django.db.models import ProtectedError

from inventory.base.calc.days import day_words
from inventory.base.refusals import Refusal
from inventory.models import CostMethod, Material
from shop.models import BuildTemplate, TemplateLine
from shop.patterns.queries import Stocking, made_from, stockings_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Stocked:
    """What was made, which lines name a material now, and the lines left out, each with why."""

    made: tuple[Material, ...]
    reused: tuple[Material, ...]
    linked: tuple[TemplateLine, ...]
    left_out: tuple[Stocking, ...]


@transaction.atomic
def make_materials(*, template: BuildTemplate, on: date) -> Stocked:
    """Link every line of `template` that names no material to one of the line's name.

    A material of that name is used if there is one, else made: with the line's family, kept as its
    unit says, at the likely seed cost, and a note that nobody has checked this price. Stocks
    nothing. A line whose name stands for something else is left out with the reason.
    """
    BuildTemplate.objects.select_for_update().get(pk=template.pk)
    planned = stockings_of(template)
    by_name: dict[str, Material] = {}
    linked, made = [], []
    for one in planned:
        if one.why_not:
            continue
        key = one.line.name.casefold()
        material = one.material or by_name.get(key)
        if material is None:
            material = by_name[key] = _material(one, template, on)
            made.append(material)
        one.line.material = material
        one.line.save(update_fields=["material"])
        linked.append(one.line)
    return Stocked(
        made=tuple(made),
        reused=tuple({one.material.pk: one.material for one in planned if one.material}.values()),
        linked=tuple(linked),
        left_out=tuple(one for one in planned if one.why_not),
    )


def _material(one: Stocking, template: BuildTemplate, on: date) -> Material:
    is_priced = "Its price is the likely starter price of that template, NOT checked."
    return Material.objects.create(
        name=one.line.name,
        family=one.line.family,
        kept_as=one.kept_as,
        cost_method=CostMethod.ACTUAL if one.kept_as == "piece" else CostMethod.FIFO,
        unit=one.unit,
        replacement_price=one.price,
        note=f"{made_from(template)}, {day_words(on)}. "
        f"{is_priced if one.price is not None else 'It has no price yet.'}",
    )


@transaction.atomic
def unmake_materials(
    *, template: BuildTemplate, lines: Collection[int], made: Collection[int]
) -> None:
    """Let the `lines` of `template` name no material again, and remove the materials `made`.

    Both are keys, as `make_materials` gave them. Raises Refusal, and changes nothing, once one of
    the materials is in use elsewhere.
    """
    linked = template.lines.filter(pk__in=lines).exclude(material=None)
    linked.update(material=None)
    own = Material.objects.filter(pk__in=made, note__startswith=made_from(template))
    for material in own.order_by("name"):
        try:
            material.delete()
        except ProtectedError:
            raise Refusal(
                f"{material} is already in use. Edit the lines one by one instead."
            ) from None
