"""Wood in the shop's own units: what pages show, what forms read."""

from decimal import Decimal

import pytest
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from inventory.base.forms import MassField, SizeField
from inventory.base.wood_units import mass_numbers, measured_in, size_words
from inventory.models import Piece
from inventory.templatetags.wood import density, length, mass, size
from inventory.wood.forms import WeighForm
from shop.patterns.forms import TemplateLineForm
from tests.inventory.stocked import stocked_pieces

IMPERIAL = "imperial"


def words(html):
    return "".join(part.split(">")[-1] for part in html.split("<")).strip()


@pytest.mark.parametrize(
    ("units", "sizes", "grams", "per_volume"),
    [
        ("metric", "2400 × 190 × 52 mm", "868 g", "384.5 kg/m³"),
        # one inch is 25.4 mm, an ounce 28.349523125 g, a lb/ft³ 16.018463 kg/m³: NIST SP 811 B.8
        ("imperial", "94.488 × 7.48 × 2.047 in", "30.618 oz", "24 lb/ft³"),
    ],
)
def test_sizes_masses_and_densities_are_set_in_the_shops_units(units, sizes, grams, per_volume):
    with measured_in(units):
        assert size(Decimal(2400), Decimal(190), Decimal(52)) == sizes
        assert words(mass(Decimal(868))) == grams
        assert words(density(Decimal("384.5"))) == per_volume


@pytest.mark.parametrize(("units", "shown"), [("metric", "0.1 mm"), ("imperial", "0.003 in")])
def test_a_small_movement_is_not_rounded_to_nothing_in_inches(units, shown):
    with measured_in(units):
        assert words(length(Decimal("0.08"), places=1)) == shown


def test_what_is_not_measured_is_left_out():
    assert size_words(Decimal(620), None, None) == "620 mm"
    assert size(None, None, None) == "–"


def test_masses_of_parts_are_shown_in_ounces_and_words_as_they_are():
    with measured_in(IMPERIAL):
        assert mass_numbers("434 433.5") == "15.309 15.291"
        assert mass_numbers("about 430") == "about 430"


def test_units_hold_for_one_page_only():
    with measured_in(IMPERIAL):
        assert WeighForm()["grams"].field.unit == "oz"
    assert WeighForm()["grams"].field.unit == "g"


@pytest.mark.parametrize(
    ("typed", "base"), [("30.62", "868.062"), ("868 g", "868"), ("2 lb", "907.185")]
)
def test_a_mass_is_read_in_ounces_or_in_the_unit_it_names(typed, base):
    with measured_in(IMPERIAL):
        form = WeighForm({"grams": typed, "on": "2027-03-09"})
    assert form.is_valid(), form.errors
    assert form.cleaned_data["grams"] == Decimal(base)


@pytest.mark.parametrize("units", ["metric", IMPERIAL])
@pytest.mark.parametrize("field", [SizeField, MassField])
@given(thousandths=st.integers(1, 10**8))
def test_what_a_form_shows_is_read_back_as_it_was(units, field, thousandths):
    kept = Decimal(thousandths) / 1000
    with measured_in(units):
        own = field().__deepcopy__({})
    assert own.clean(own.prepare_value(kept)) == kept


def test_a_shop_that_works_in_inches_reads_and_types_them_at_the_desk(desk, workshop):
    type(workshop).objects.update(units=IMPERIAL)
    _, (lot, _) = stocked_pieces()
    sizes = {"length_mm": "17", "width_mm": "5 7/8", "thickness_mm": "11/16", "mass_g": "30.6"}
    data = {**sizes, "parts": "2", "part_masses": "15.3 15.3", "is_ready": "on"}
    desk.post(reverse("edit_piece", args=[lot.number]), data)
    piece = Piece.objects.get(pk=lot.pk)
    assert (piece.length_mm, piece.width_mm) == (Decimal("431.8"), Decimal("149.225"))
    assert (piece.mass_g, piece.part_masses) == (Decimal("867.495"), "433.748 433.748")
    page = desk.get(reverse("piece", args=[lot.number])).content.decode()
    assert "17 × 5.875 × 0.688 in" in page
    assert "15.3 15.3 oz" in page
    # 2 × 17 × 5.875 × 0.6875 in³ are 0.0794777 ft³, and 30.6 oz 1.9125 lb
    assert '24<span class="decimals">.1</span>' in page


def test_the_lines_of_a_template_ask_for_pieces_in_the_shops_unit():
    with measured_in(IMPERIAL):
        copies = {
            name: field.__deepcopy__({}) for name, field in TemplateLineForm.base_fields.items()
        }
    assert {copies[name].unit for name in copies if name.endswith("_mm")} == {"in"}
