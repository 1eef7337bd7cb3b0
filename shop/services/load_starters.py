"""Load the starter templates: patterns with seed values, to be overwritten by the maker's own."""

import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.db import transaction

from inventory.models import Family
from shop.models import (
    BuildTemplate,
    TemplateFailure,
    TemplateLine,
    TemplateOption,
    TemplateStage,
)

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
Row = dict[str, Any]


@transaction.atomic
def load_starters() -> list[BuildTemplate]:
    """Return the starter templates made now; one whose name is in use already is left alone."""
    families = {name: _family(name, place) for place, name in enumerate(FAMILIES, start=1)}
    return [
        _template(starter, families)
        for starter in map(_read, sorted(STARTERS.glob("*.toml")))
        if not BuildTemplate.objects.filter(name=starter["name"]).exists()
    ]


def _read(path: Path) -> Row:
    with path.open("rb") as file:
        return tomllib.load(file, parse_float=Decimal)


def _family(name: str, position: int) -> Family:
    return Family.objects.get_or_create(name=name, defaults={"position": position})[0]


def _template(starter: Row, families: dict[str, Family]) -> BuildTemplate:
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
    TemplateLine.objects.bulk_create(
        _line(template, position, row, families | stages | options)
        for position, row in enumerate(starter["lines"], start=1)
    )
    TemplateFailure.objects.bulk_create(
        TemplateFailure(**row | {"stage": stages[row["stage"]]})
        for row in starter.get("failures", ())
    )
    return template


def _stage(template: BuildTemplate, position: int, row: Row, options: Row) -> TemplateStage:
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


def _line(template: BuildTemplate, position: int, row: Row, named: Row) -> TemplateLine:
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
