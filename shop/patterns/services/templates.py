"""Templates copied, taken over, and loaded as starters."""

import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any, TypeVar

from django.db import models, transaction

from inventory.base.refusals import Refusal
from inventory.models import Family
from shop.models import (
    BuildTemplate,
    TemplateFailure,
    TemplateLine,
    TemplateOption,
    TemplateSpec,
    TemplateStage,
)

CopiedRow = TypeVar("CopiedRow", bound=models.Model)


@transaction.atomic
def copy_template(*, template: BuildTemplate, name: str) -> BuildTemplate:
    """Return a new template with options, stages, lines, specification and failures of `template`.

    The copy is the maker's own: no starter, no past builds. Raises Refusal when the name is taken.
    """
    if BuildTemplate.objects.filter(name=name).exists():
        raise Refusal(f"There is already a template “{name}”. Enter another name.", field="name")
    copy = BuildTemplate.objects.create(
        name=name, description=template.description, note_to_self=template.note_to_self
    )
    options: dict[int | None, TemplateOption] = {
        option.pk: TemplateOption.objects.create(
            template=copy, name=option.name, is_on=option.is_on, one_of=option.one_of
        )
        for option in template.options.all()
    }
    stages: dict[int | None, TemplateStage] = {
        stage.pk: _copied(stage, template=copy, option=options.get(stage.option_id))
        for stage in template.stages.all()
    }
    lines: dict[int | None, TemplateLine] = {
        line.pk: _copied(
            line,
            template=copy,
            option=options.get(line.option_id),
            stage=stages.get(line.stage_id),
        )
        for line in template.lines.all()
    }
    for spec in template.specs.all():
        _copied(
            spec,
            template=copy,
            option=options.get(spec.option_id),
            line=lines.get(spec.line_id),
        )
    for failure in TemplateFailure.objects.filter(stage__template=template):
        made = _copied(
            failure,
            stage=stages[failure.stage_id],
            redo_from=stages.get(failure.redo_from_id),
        )
        made.lost.set(lines[line.pk] for line in failure.lost.all())
    return copy


def _copied(row: CopiedRow, **changed: models.Model | None) -> CopiedRow:
    """Save a second row with the fields of `row`, some of them changed."""
    fields = {
        field.attname: getattr(row, field.attname)
        for field in row._meta.concrete_fields
        if not field.primary_key and field.name not in changed
    }
    return type(row)._default_manager.create(**fields, **changed)


@transaction.atomic
def adopt_template(*, template: BuildTemplate) -> BuildTemplate:
    """Return `template`, no longer marked as seed values. Changes no figure."""
    template.is_starter = False
    template.save(update_fields=["is_starter"])
    return template


STARTERS = Path(__file__).resolve().parent.parent / "starters"
FAMILIES = (
    "Tonewoods",
    "Fretwire",
    "Saddle and nut blanks",
    "Hardware",
    "Finish",
    "Binding and inlay",
    "Strings",
    "Electrics",
    "Glue and abrasives",
    "Case and packing",
)
LINE_FIELDS = {
    "name",
    "quantity",
    "unit",
    "stock_size",
    "wood",
    "piece_length_mm",
    "piece_width_mm",
    "piece_thickness_mm",
    "piece_parts",
    "waste_rule",
    "waste_rate",
    "spares",
    "cut_length_mm",
    "stock_length_mm",
    "kerf_mm",
    "least_remnant_mm",
}
SPEC_FIELDS = {"name", "value", "unit", "choices", "is_asked"}
StarterRow = dict[str, Any]


@transaction.atomic
def load_starters() -> list[BuildTemplate]:
    """Return the starter templates made now; one whose name is in use already is left alone."""
    families = {name: _family(name, place) for place, name in enumerate(FAMILIES, start=1)}
    return [
        _template(starter, families)
        for starter in map(_read, sorted(STARTERS.glob("*.toml")))
        if not BuildTemplate.objects.filter(name=starter["name"]).exists()
    ]


def _read(path: Path) -> StarterRow:
    with path.open("rb") as file:
        return tomllib.load(file, parse_float=Decimal)


def _family(name: str, position: int) -> Family:
    return Family.objects.get_or_create(name=name, defaults={"position": position})[0]


def _template(starter: StarterRow, families: dict[str, Family]) -> BuildTemplate:
    template = BuildTemplate.objects.create(
        name=starter["name"], description=starter["description"], is_starter=True
    )
    options = {
        row["name"]: TemplateOption.objects.create(template=template, **row)
        for row in starter["options"]
    }
    stages = {
        row["name"]: _stage(template, position, row, options)
        for position, row in enumerate(starter["stages"], start=1)
    }
    lines = TemplateLine.objects.bulk_create(
        _line(template, position, row, families | stages | options)
        for position, row in enumerate(starter["lines"], start=1)
    )
    named = {line.name: line for line in lines}
    TemplateSpec.objects.bulk_create(
        _spec(template, position, row, named, options)
        for position, row in enumerate(starter.get("specification", ()), start=1)
    )
    TemplateFailure.objects.bulk_create(
        TemplateFailure(**row | {"stage": stages[row["stage"]]})
        for row in starter.get("failures", ())
    )
    return template


def _stage(
    template: BuildTemplate, position: int, row: StarterRow, options: StarterRow
) -> TemplateStage:
    low, likely, high = row["hours"]
    saving_two, saving_four = row.get("saving", (0, 0))
    return TemplateStage.objects.create(
        template=template,
        position=position,
        name=row["name"],
        hours_low=Decimal(low),
        hours_likely=Decimal(likely),
        hours_high=Decimal(high),
        waiting_days=Decimal(row.get("waiting_days", 0)),
        waiting_for=row.get("waiting_for", ""),
        saving_two=Decimal(saving_two),
        saving_four=Decimal(saving_four),
        option=options.get(row.get("option", "")),
        caution=row.get("caution", ""),
    )


def _spec(
    template: BuildTemplate,
    position: int,
    row: StarterRow,
    lines: StarterRow,
    options: StarterRow,
) -> TemplateSpec:
    return TemplateSpec(
        template=template,
        position=position,
        line=lines[row["line"]] if "line" in row else None,
        option=options[row["option"]] if "option" in row else None,
        **{name: value for name, value in row.items() if name in SPEC_FIELDS},
    )


def _line(
    template: BuildTemplate, position: int, row: StarterRow, named: StarterRow
) -> TemplateLine:
    """Make one line; `named` finds its family, stage and option by their names."""
    low, likely, high = row["cost"]
    return TemplateLine(
        template=template,
        position=position,
        family=named[row["family"]],
        stage=named[row["stage"]],
        option=named.get(row.get("option", "")),
        cost_low=Decimal(low),
        cost_likely=Decimal(likely),
        cost_high=Decimal(high),
        **{name: value for name, value in row.items() if name in LINE_FIELDS},
    )
