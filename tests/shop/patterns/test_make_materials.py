from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from inventory.models import Material
from shop.models import BuildTemplate, TemplateLine
from shop.patterns.queries import plan_of, stockings_of
from shop.patterns.services.stocking import make_materials, unmake_materials
from shop.patterns.services.templates import adopt_template, load_starters
from tests.factories import TODAY, make_family, make_material
from tests.shop.factories import make_template, make_template_line

pytestmark = pytest.mark.django_db
CUT = {
    "waste_rule": "cutting",
    "cut_length_mm": Decimal(110),
    "stock_length_mm": Decimal(1000),
    "kerf_mm": Decimal(3),
}


@pytest.fixture
def template():
    return make_template("Octave mandolin")


def one_line(template, **fields):
    fields = {"quantity": Decimal(1), "cost_likely": Decimal(22)} | fields
    return make_template_line(template, "Tailpiece", **fields)


@pytest.mark.parametrize(
    ("fields", "kept_as", "unit", "price"),
    [
        ({"quantity": Decimal("0.93"), "unit": "m"}, "length", "m", "23.6559"),
        ({"quantity": Decimal(135), "unit": "mm"}, "length", "m", "162.9630"),
        ({"quantity": Decimal(36), "unit": "in"}, "length", "ft", "7.3333"),
        (CUT, "length", "m", "200.0000"),
        ({"quantity": Decimal(800), "unit": "cm2"}, "area", "cm2", "0.0275"),
        ({"quantity": Decimal(2), "unit": "ea"}, "count", "ea", "11.0000"),
        ({"quantity": Decimal(1), "unit": "l", "waste_rule": "share"}, "volume", "l", "22.0000"),
    ],
    ids=[
        "metres",
        "mm become metres",
        "inches become feet",
        "cut",
        "area",
        "each",
        "share of cans",
    ],
)
def test_a_material_is_kept_as_its_unit_says_at_its_likely_cost(
    template, fields, kept_as, unit, price
):
    one_line(template, family=make_family("Hardware"), **fields)
    (made,) = make_materials(template=template, on=TODAY).made
    assert (made.kept_as, made.unit, made.replacement_price) == (kept_as, unit, Decimal(price))
    assert template.lines.get().material == made


def test_whole_wood_is_kept_by_the_piece_with_its_own_cost(template):
    one_line(template, family=make_family("Tonewoods"))
    (made,) = make_materials(template=template, on=TODAY).made
    assert (made.kept_as, made.cost_method) == ("piece", "actual")


def test_the_seed_price_is_flagged_as_not_checked(template):
    one_line(template)
    (made,) = make_materials(template=template, on=TODAY).made
    assert made.note == (
        "Made from the template “Octave mandolin”, 9 March 2027. "
        "Its price is the likely starter price of that template, NOT checked."
    )
    assert made.replacement_checked_on is None


def test_a_line_without_a_cost_makes_a_material_without_a_price(template):
    one_line(template, cost_likely=Decimal(0))
    (made,) = make_materials(template=template, on=TODAY).made
    assert made.replacement_price is None
    assert made.note.endswith("It has no price yet.")


def test_a_material_of_the_same_name_is_used_and_left_as_it_is(template):
    there = make_material("tailpiece", replacement_price=Decimal(31))
    one_line(template)
    done = make_materials(template=template, on=TODAY)
    assert (done.made, done.reused) == ((), (there,))
    assert template.lines.get().material == there
    assert Material.objects.get().replacement_price == 31


@pytest.mark.parametrize(
    ("fields", "why"),
    [
        ({"kept_as": "mass"}, "The material of this name is kept in g."),
        ({"is_archived": True}, "A material of this name is archived."),
    ],
)
def test_a_material_that_means_something_else_is_not_used(template, fields, why):
    make_material("Tailpiece", **fields)
    one_line(template)
    (left,) = make_materials(template=template, on=TODAY).left_out
    assert left.why_not.startswith(why)
    assert template.lines.get().material is None


def test_two_lines_of_one_name_share_a_material_when_they_count_alike(template):
    for unit in ("ea", "pair", "m"):
        one_line(template, unit=unit)
    done = make_materials(template=template, on=TODAY)
    assert (len(done.made), len(done.linked)) == (1, 2)
    assert done.left_out[0].line.unit == "m"


def test_a_share_of_a_pack_stays_as_it_is(template):
    one_line(template, waste_rule="share")
    assert make_materials(template=template, on=TODAY).made == ()
    assert plan_of(template).unnamed == 0


def test_a_line_that_names_a_material_keeps_it(template):
    brass = make_material("Brass bar", "length")
    one_line(template, material=brass)
    assert make_materials(template=template, on=TODAY).linked == ()


@pytest.mark.parametrize("number", range(3))
def test_a_starter_costs_the_same_to_the_cent_once_it_is_stocked(workshop, number):
    template = load_starters()[number]
    before, unnamed = plan_of(template).cost, plan_of(template).unnamed
    done = make_materials(template=template, on=TODAY)
    after = plan_of(template)
    assert abs(after.cost - before) < Decimal("0.01")
    assert len(done.linked) == unnamed > 20
    assert after.unnamed == 0
    assert not any(line.trouble for line in after.lines)


def test_starters_share_the_materials_that_they_name_alike(workshop):
    for template in load_starters():
        make_materials(template=template, on=TODAY)
    assert Material.objects.count() == len({row.name.casefold() for row in Material.objects.all()})


def test_stocking_twice_makes_nothing_more(template):
    one_line(template)
    make_materials(template=template, on=TODAY)
    again = make_materials(template=template, on=TODAY)
    assert (again.made, again.linked) == ((), ())


def undo(template, done):
    unmake_materials(
        template=template,
        lines=[line.pk for line in done.linked],
        made=[material.pk for material in done.made],
    )


def test_undone_leaves_neither_materials_nor_links_and_keeps_what_was_there(template):
    there = make_material("Fretwire", "length")
    one_line(template)
    make_template_line(template, "Fretwire", unit="m")
    undo(template, make_materials(template=template, on=TODAY))
    assert list(Material.objects.all()) == [there]
    assert not TemplateLine.objects.exclude(material=None).exists()


def test_a_material_in_use_elsewhere_can_not_be_undone(template):
    one_line(template)
    done = make_materials(template=template, on=TODAY)
    make_template_line(make_template("Mandola"), material=done.made[0])
    with pytest.raises(Refusal, match="Tailpiece is already in use"):
        undo(template, done)
    assert template.lines.get().material == done.made[0]


def test_undoing_removes_no_material_that_was_not_made_from_the_template(template):
    other = make_material("Brass bar", "length")
    unmake_materials(template=template, lines=[], made=[other.pk])
    assert Material.objects.get() == other


@pytest.mark.parametrize("number", [1, 25])
def test_looking_ahead_takes_two_queries(template, number, django_assert_num_queries):
    for _ in range(number):
        make_template_line(template)
    with django_assert_num_queries(2):
        assert len(stockings_of(template)) == number


def test_a_starter_becomes_ones_own(workshop):
    starter = load_starters()[0]
    adopt_template(template=starter)
    assert not BuildTemplate.objects.get(pk=starter.pk).is_starter
