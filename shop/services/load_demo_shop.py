"""Load the shop side of the demo workshop: people, shelf, past builds and the bench."""

from datetime import datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from inventory.models import Material, Workshop
from shop.models import BuildTemplate, TemplateLine, TemplateOption, WasteRule
from shop.services.add_person import add_person
from shop.services.copy_template import copy_template
from shop.services.enter_demo_past import enter_demo_past
from shop.services.fill_demo_bench import fill_demo_bench
from shop.services.fill_demo_shelf import fill_demo_shelf
from shop.services.fill_demo_stock import fill_demo_stock
from shop.services.open_workshop import open_workshop

PASSWORD = "turnip-hollow"
TAX_NUMBER = "NL123456782B90"
"""Invented, with check digits that hold."""
BY_THE_LIST = "Electric mandolin by the list"
COLOURS = {"Natural finish": (), "Sunburst": (2, 3, 6), "Aged cream": (1, 2, 3)}
"""Colour → hours on top of the plain finish: low, likely, high; invented."""
STRINGS = ("plain 0.010", "plain 0.014", "wound 0.024", "wound 0.036")


@transaction.atomic
def load_demo_shop(*, now: datetime) -> Workshop:
    """Return the open demo workshop; Posy (owner) and Bram (maker) sign in with `PASSWORD`.

    Raises Refusal when there is a workshop already.
    """
    workshop = open_workshop(
        name="Turnip Hollow",
        maker="Posy Thimblewick",
        username="posy",
        password=PASSWORD,
        currency="EUR",
        country="NL",
        time_zone="Europe/Amsterdam",
        tax_registered=True,
        tax_number=TAX_NUMBER,
        address="Turnip Hollow 7\nUpper Puddle",
        is_demo=True,
    )
    add_person(username="bram", password=PASSWORD, role="maker", first_name="Bram")
    posy = User.objects.get(username="posy")
    with timezone.override(ZoneInfo(workshop.time_zone)):
        _pattern_by_the_list()
        _colours()
        fill_demo_shelf(now=now)
        fill_demo_stock(now=now)
        _string_lines()
        enter_demo_past(person=posy, now=now)
        fill_demo_bench(person=posy, now=now)
    return workshop


def _pattern_by_the_list() -> None:
    """Copy the electric mandolin so that each listed figure is the whole cost of its line."""
    starter = BuildTemplate.objects.get(name="Chambered electric mandolin")
    pattern = copy_template(template=starter, name=BY_THE_LIST)
    pattern.description = "Each line's listed figure is its whole cost: no waste on top."
    pattern.save(update_fields=["description"])
    pattern.lines.update(waste_rule=WasteRule.NONE, waste_rate=Decimal(0), spares=Decimal(0))
    pattern.lines.filter(name__startswith="Tailpiece").update(quantity=110, unit="mm")
    TemplateOption.objects.filter(template=pattern).exclude(name="Binding").delete()


def _colours() -> None:
    """Give the electric mandolin a choice of colours, of which a client takes exactly one."""
    pattern = BuildTemplate.objects.get(name="Chambered electric mandolin")
    stain = pattern.stages.get(name="Sand, pore fill, stain")
    for name, hours in COLOURS.items():
        option = pattern.options.create(name=name, one_of="Colour", is_on=not hours)
        if hours:
            low, likely, high = (Decimal(each) for each in hours)
            pattern.stages.create(
                position=stain.position,
                name=f"{name}: spray and blend",
                hours_low=low,
                hours_likely=likely,
                hours_high=high,
                waiting_days=stain.waiting_days,
                waiting_for=stain.waiting_for,
                caution=pattern.stages.get(name="Apply finish").caution,
                option=option,
            )


def _string_lines() -> None:
    """Count the custom set by its strings, two of each, where the list is followed."""
    line = TemplateLine.objects.get(template__name=BY_THE_LIST, name__startswith="Custom string")
    for gauge in STRINGS:
        material = Material.objects.get(name=f"String, {gauge}, ball end")
        TemplateLine.objects.create(
            template=line.template,
            position=line.position,
            name=f"String, {gauge}",
            family=material.family,
            material=material,
            quantity=Decimal(2),
            unit="ea",
            stage=line.stage,
            cost_likely=2 * (material.replacement_price or Decimal(0)),
        )
    line.delete()
