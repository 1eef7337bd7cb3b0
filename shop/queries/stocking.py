"""What the materials of a template become on the shelf, for lines that name none of the shop's."""

from collections.abc import Collection
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from django.db.models import Q
from django.db.models.functions import Lower

from inventory.calc.units import to_base, unit_word
from inventory.models import KeptAs, Material
from shop.calc.line_need import LineNeed
from shop.models import BuildTemplate, TemplateLine
from shop.queries.templates import need_of

PRICE_STEP = Decimal("0.0001")
BOUGHT_BY = {"mm": "m", "cm": "m", "in": "ft"}
"""What is used by the small unit is bought, and shown, by the large one."""
WOOD = "Tonewoods"
"""The family whose whole units are each themselves, so that they are kept by the piece."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stocking:
    """What one line becomes: the shop's own `material` of that name, or a new one kept as told.

    `price` is for one `unit`, without waste, or None while it is unknown. `why_not` is the sentence
    why the line is left as it is, and then the rest doesn't count.
    """

    line: TemplateLine
    material: Material | None = None
    kept_as: str = ""
    unit: str = ""
    price: Decimal | None = None
    why_not: str = ""

    @property
    def kept_words(self) -> str:
        """How the material is kept, in words."""
        return str(KeptAs(self.kept_as).label)

    @property
    def unit_word(self) -> str:
        """The word for its unit."""
        return unit_word(self.unit)


def stockings_of(template: BuildTemplate) -> list[Stocking]:
    """Return what each line of `template` without a material would become, in two queries."""
    lines = list(template.lines.filter(material=None).select_related("family"))
    shop_has = _materials_named({line.name for line in lines})
    first: dict[str, Stocking] = {}
    found = []
    for line in lines:
        key = line.name.casefold()
        one = _stocking(line, shop_has.get(key), first.get(key))
        if one.kept_as:
            first.setdefault(key, one)
        found.append(one)
    return found


def made_from(template: BuildTemplate) -> str:
    """Return how the note of a material begins that was made from `template`."""
    return f"Made from the template “{template}”"


def _materials_named(names: Collection[str]) -> dict[str, Material]:
    """Return the materials of these names, whether in large or small letters."""
    rows = Material.objects.annotate(small=Lower("name"))
    rows = rows.filter(Q(name__in=names) | Q(small__in=[name.lower() for name in names]))
    return {row.name.casefold(): row for row in rows.select_related("family")}


def _stocking(line: TemplateLine, same_name: Material | None, above: Stocking | None) -> Stocking:
    """Say what `line` becomes; `above` is an earlier line of its name that becomes a material."""
    if line.is_bare_share:
        return Stocking(
            line=line, why_not="A share of a pack: the seed cost serves until you name the pack."
        )
    if same_name:
        return _reused(line, same_name)
    need = need_of(line)
    if above and need.kind != need_of(above.line).kind:
        return Stocking(line=line, why_not="A line above has this name and another kind of unit.")
    unit = "m" if need.is_cut else BOUGHT_BY.get(line.unit, line.unit)
    return Stocking(
        line=line, kept_as=_kept_as(line, need), unit=unit, price=_price(line, need, unit)
    )


def _reused(line: TemplateLine, material: Material) -> Stocking:
    if material.is_archived:
        return Stocking(
            line=line, why_not="A material of this name is put away. Take it back into use first."
        )
    if _kind_of(material) != need_of(line).kind:
        return Stocking(
            line=line,
            why_not=f"The material of this name is kept in {material.unit_word}. "
            "Name another one on the line.",
        )
    return Stocking(line=line, material=material)


def _kept_as(line: TemplateLine, need: LineNeed) -> str:
    is_whole_wood = line.unit == "ea" and not need.is_cut and line.family.name == WOOD
    return KeptAs.PIECE if is_whole_wood else need.kind


def _kind_of(material: Material) -> str:
    return KeptAs.COUNT if material.is_piece else material.kept_as


def _price(line: TemplateLine, need: LineNeed, unit: str) -> Decimal | None:
    """Return the likely seed cost for one `unit`, waste left out; nothing where that is 0."""
    if not line.cost_likely or not need.net_base:
        return None
    price = line.cost_likely / need.net_base * to_base(Decimal(1), unit)
    return price.quantize(PRICE_STEP, rounding=ROUND_HALF_UP)
