"""Templates: what a pattern takes, and what its lines become on the shelf."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from django.db.models import Count, OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Lower

from inventory.base.calc.units import to_base, unit_word
from inventory.base.refusals import Refusal
from inventory.models import KeptAs, Material
from inventory.shelf.calc import DrawWithWaste
from shop.models import (
    BuildState,
    BuildTemplate,
    TemplateFailure,
    TemplateLine,
    TemplateOption,
    TemplateStage,
)
from shop.patterns.calc import LineNeed, draw_at_net_cost, draw_at_unit_price, on_as_a_rule

_ZERO = Decimal(0)
_ON = Q(option=None) | Q(option__is_on=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class LinePlan:
    """One material of a template: its draw in base units, and what it costs on average.

    `is_seed` says that the cost comes from the template, not from a price of the shop; `trouble`
    is the sentence why the waste rule or the unit can't be used, and then the seed cost stands.
    """

    line: TemplateLine
    is_on: bool
    draw: DrawWithWaste | None
    cost: Decimal
    is_seed: bool
    trouble: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TemplatePlan:
    """A template with its options as chosen: every stage and line, and sums of what counts."""

    template: BuildTemplate
    options: frozenset[str]
    stages: tuple[tuple[TemplateStage, bool], ...]
    lines: tuple[LinePlan, ...]
    failures: tuple[TemplateFailure, ...]

    @property
    def stages_on(self) -> list[TemplateStage]:
        return [stage for stage, is_on in self.stages if is_on]

    @property
    def hours(self) -> tuple[Decimal, Decimal, Decimal]:
        """Low, likely and high hours of the stages that count."""
        rows = [(one.hours_low, one.hours_likely, one.hours_high) for one in self.stages_on]
        low, likely, high = zip(*rows, strict=True) if rows else ((), (), ())
        return sum(low, _ZERO), sum(likely, _ZERO), sum(high, _ZERO)

    @property
    def unnamed(self) -> int:
        """How many lines name no material of the shop and are more than a share of a pack."""
        return sum(
            one.line.material_id is None and not one.line.is_bare_share for one in self.lines
        )

    @property
    def waiting_days(self) -> Decimal:
        return sum((one.waiting_days for one in self.stages_on), _ZERO)

    @property
    def cost(self) -> Decimal:
        """What the lines that count cost on average, waste included."""
        return sum((one.cost for one in self.lines if one.is_on), _ZERO)


def template_rows() -> QuerySet[BuildTemplate]:
    """Return the templates with likely hours of what is on, and how many builds they had."""
    counted = ~Q(builds__state=BuildState.CANCELLED)
    builds = Count("builds", filter=counted, distinct=True)
    stages = TemplateStage.objects.filter(_ON, template=OuterRef("pk")).order_by()
    likely = stages.values("template").annotate(sum=Sum("hours_likely")).values("sum")
    rows = BuildTemplate.objects.annotate(build_count=builds, likely=Subquery(likely))
    return rows.order_by("name")


def plan_of(template: BuildTemplate, options: Collection[str] | None = None) -> TemplatePlan:
    """Return what `template` takes with the named `options` on, or with its own choice of them."""
    rows = list(template.options.all())
    chosen = frozenset(on_by_default(rows) if options is None else options)
    stages = template.stages.select_related("option")
    lines = template.lines.select_related("option", "family", "material", "stage")
    failures = TemplateFailure.objects.filter(stage__template=template)
    return TemplatePlan(
        template=template,
        options=chosen,
        stages=tuple((stage, _counts(stage.option, chosen)) for stage in stages),
        lines=tuple(plan_line(line, is_on=_counts(line.option, chosen)) for line in lines),
        failures=tuple(failures.select_related("stage", "redo_from").prefetch_related("lost")),
    )


def plan_line(line: TemplateLine, *, is_on: bool = True) -> LinePlan:
    """Price one line: by the replacement price of its material, else by its likely seed cost."""
    price = line.material.replacement_price if line.material else None
    is_seed = line.material is None or price is None
    try:
        if line.material is None or price is None:
            draw = draw_at_net_cost(need_of_template_line(line), line.cost_likely)
        else:
            draw = draw_at_unit_price(need_of_template_line(line), price, line.material.unit)
    except Refusal as refusal:
        return LinePlan(
            line=line,
            is_on=is_on,
            draw=None,
            cost=line.cost_likely,
            is_seed=True,
            trouble=refusal.sentence,
        )
    return LinePlan(line=line, is_on=is_on, draw=draw, cost=draw.cost, is_seed=is_seed)


def need_of_template_line(line: TemplateLine) -> LineNeed:
    """Return what a line needs as plain data."""
    return LineNeed(
        name=line.name,
        quantity=line.quantity,
        unit=line.unit,
        rule=line.waste_rule,
        rate=line.waste_rate,
        spares=line.spares,
        cut_length_mm=line.cut_length_mm,
        stock_length_mm=line.stock_length_mm,
        kerf_mm=line.kerf_mm,
        least_remnant_mm=line.least_remnant_mm,
    )


def on_by_default(options: Iterable[TemplateOption]) -> list[str]:
    """Return the names of the options that are on unless said otherwise, one of each choice."""
    return on_as_a_rule((option.name, option.is_on, option.one_of) for option in options)


def _counts(option: TemplateOption | None, chosen: Collection[str]) -> bool:
    return option is None or option.name in chosen


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
            line=line,
            why_not="A share of a pack: the starter price is used until you choose the pack.",
        )
    if same_name:
        return _reused(line, same_name)
    need = need_of_template_line(line)
    if above and need.kind != need_of_template_line(above.line).kind:
        return Stocking(
            line=line, why_not="A line above has the same name but another kind of unit."
        )
    unit = "m" if need.is_cut else BOUGHT_BY.get(line.unit, line.unit)
    return Stocking(
        line=line, kept_as=_kept_as(line, need), unit=unit, price=_price(line, need, unit)
    )


def _reused(line: TemplateLine, material: Material) -> Stocking:
    if material.is_archived:
        return Stocking(
            line=line,
            why_not="A material of this name is archived. Remove it from the archive first.",
        )
    if _kind_of(material) != need_of_template_line(line).kind:
        return Stocking(
            line=line,
            why_not=f"The material of this name is kept in {material.unit_word}. Choose another on "
            "the line.",
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
