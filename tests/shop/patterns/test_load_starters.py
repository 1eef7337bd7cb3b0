"""The starters against the tables of a maker's figures; common practice, no source."""

from decimal import Decimal

import pytest
from django.db.models import Q, Sum

from inventory.models import Family
from shop.models import BuildTemplate, WasteRule
from shop.patterns.queries import plan_of
from shop.patterns.services.templates import load_starters

pytestmark = pytest.mark.django_db

# name, hours low, likely, high, each at two, each at four, cost low, likely, high
TABLES = [
    ("Carved-top mandolin", "60.0", "96.5", "157", "80.8", "74.1", "262", "579", "1566"),
    ("Flat-top guitar", "58.0", "96.0", "158", "80.1", "73.2", "407", "914", "2490"),
    ("Solid electric bouzouki", "24.5", "48.0", "87", "38.9", "34.9", "233", "560.80", "1555"),
]
ON = Q(option=None) | Q(option__is_on=True)


@pytest.fixture
def starters():
    load_starters()
    return {template.name: template for template in BuildTemplate.objects.all()}


@pytest.mark.parametrize("row", TABLES, ids=lambda row: row[0])
def test_hours_add_up_to_the_table(starters, row):
    stages = starters[row[0]].stages.filter(ON)
    sums = stages.aggregate(Sum("hours_low"), Sum("hours_likely"), Sum("hours_high"))
    assert list(sums.values()) == [Decimal(each) for each in row[1:4]]


@pytest.mark.parametrize("row", TABLES, ids=lambda row: row[0])
def test_hours_each_in_a_batch_agree_with_the_table(starters, row):
    stages = list(starters[row[0]].stages.filter(ON))
    at_two = sum(stage.hours_likely * (1 - stage.saving_two) for stage in stages)
    at_four = sum(stage.hours_likely * (1 - stage.saving_four) for stage in stages)
    assert (round(at_two, 1), round(at_four, 1)) == (Decimal(row[4]), Decimal(row[5]))


@pytest.mark.parametrize("row", TABLES, ids=lambda row: row[0])
def test_costs_add_up_to_the_table(starters, row):
    lines = starters[row[0]].lines
    on = lines.filter(ON).aggregate(low=Sum("cost_low"), likely=Sum("cost_likely"))
    high = lines.aggregate(high=Sum("cost_high"))
    assert [on["low"], on["likely"], high["high"]] == [Decimal(each) for each in row[6:9]]


def test_every_waste_rule_has_its_figures(starters):
    for template in starters.values():
        for line in template.lines.exclude(waste_rule=WasteRule.NONE):
            if line.waste_rule == WasteRule.CUTTING:
                assert (line.cut_length_mm, line.kerf_mm, line.stock_length_mm) == (110, 3, 1000)
            elif line.waste_rule == WasteRule.SPARES:
                assert line.spares == 1
            elif line.waste_rule != WasteRule.SHARE:
                assert 0 < line.waste_rate <= Decimal("0.2")


@pytest.mark.parametrize(
    ("template", "name", "cost"),
    [
        ("Carved-top mandolin", "String set, 8", "9.85"),
        ("Flat-top guitar", "String set, 6", "9.85"),
        ("Solid electric bouzouki", "String set made up from singles, 8", "12.16"),
    ],
    ids=["mandolin", "guitar", "electric"],
)
def test_a_set_of_strings_is_one_with_a_plain_string_over(starters, template, name, cost):
    """The table draws 1 set at 9, 9 and 11.80, and a plain single is 0.85: one over, or 1 in 10."""
    plan = plan_of(starters[template])
    [line] = [line for line in plan.lines if line.line.name == name]
    assert (line.draw.drawn, round(line.cost, 2)) == (1, Decimal(cost))


def test_waiting_of_a_carved_mandolin_agrees_with_its_calendar(starters):
    """The trade gives 75 to 120 days in all, of which about 28 are days of work."""
    waiting = starters["Carved-top mandolin"].stages.filter(ON).aggregate(Sum("waiting_days"))
    assert 75 - 28 <= waiting["waiting_days__sum"] <= 120 - 28


def test_each_line_belongs_to_a_stage_and_a_family(starters):
    for template in starters.values():
        assert not template.lines.filter(stage=None).exists()
    assert Family.objects.first().name == "Tonewoods"


def test_loading_again_leaves_the_makers_figures_alone(starters):
    mandolin = starters["Carved-top mandolin"]
    mandolin.stages.filter(name="Carve neck").update(hours_likely=4)
    assert load_starters() == []
    assert mandolin.stages.get(name="Carve neck").hours_likely == 4
