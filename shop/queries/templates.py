"""Templates: what a pattern takes in hours and materials, with its options as chosen."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Count, OuterRef, Q, QuerySet, Subquery, Sum

from inventory.calc.waste import Draw
from inventory.refusals import Refusal
from shop.calc.line_need import LineNeed, draw_at_net_cost, draw_at_unit_price
from shop.calc.options import on_as_a_rule
from shop.models import (
    BuildState,
    BuildTemplate,
    TemplateFailure,
    TemplateLine,
    TemplateOption,
    TemplateStage,
)

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
    draw: Draw | None
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
            draw = draw_at_net_cost(need_of(line), line.cost_likely)
        else:
            draw = draw_at_unit_price(need_of(line), price, line.material.unit)
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


def need_of(line: TemplateLine) -> LineNeed:
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
