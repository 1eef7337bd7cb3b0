"""Weighing and moisture on pages, and the shop's own rules."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.models import Meter, Piece, PieceState, Species, StockRules
from inventory.wood.queries import seasoning_of
from inventory.wood.services import record_moisture, weigh_piece
from tests.inventory.stocked import stocked, stocked_pieces

WEEKS = [date(2027, 3, 9), date(2027, 3, 16), date(2027, 3, 23), date(2027, 3, 30)]


@pytest.fixture
def lot(workshop):
    _, (lot, _) = stocked_pieces()
    Piece.objects.filter(pk=lot.pk).update(is_ready=False)
    return lot


def weigh(desk, lot, grams, on):
    return desk.post(
        reverse("weigh_piece", args=[lot.number]), {"grams": grams, "on": on}, follow=True
    )


def test_the_last_weighing_that_agrees_makes_a_piece_ready(desk, lot):
    for grams, on in zip(["868", "861.5", "859.8"], WEEKS, strict=False):
        weigh(desk, lot, grams, on)
        lot.piece.refresh_from_db()
        assert lot.piece.state == PieceState.SEASONING
    page = weigh(desk, lot, "858.9", WEEKS[3]).content.decode()
    lot.piece.refresh_from_db()
    assert lot.piece.state == PieceState.READY
    assert "0.302 %" in page
    assert "<polyline" in page


def test_a_wider_rule_of_the_shop_makes_it_ready_sooner(desk, lot):
    desk.post(reverse("stock_rules"), {**rules(), "ready_within": "1", "ready_near": "10"})
    for grams, on in zip(["868", "861.5", "859.8"], WEEKS, strict=False):
        weigh(desk, lot, grams, on)
    lot.piece.refresh_from_db()
    assert lot.piece.state == PieceState.READY


def test_an_older_weighing_typed_later_does_not_become_the_mass(desk, lot):
    weigh(desk, lot, "860", WEEKS[3])
    weigh(desk, lot, "868", WEEKS[0])
    lot.piece.refresh_from_db()
    assert lot.piece.mass_g == 860


@pytest.mark.parametrize("grams", ["", "0", "-4", "heavy", "3 mm"])
def test_a_mass_that_can_t_be_is_not_noted(desk, lot, grams):
    assert weigh(desk, lot, grams, WEEKS[0]).status_code == 422
    assert not lot.weighings.exists()


def test_only_a_piece_is_weighed(desk):
    lot = stocked().lots.get()
    assert weigh(desk, lot, "12", WEEKS[0]).status_code == 409


def test_a_reading_is_kept_raw_and_corrected_by_the_meter_s_own_sheet(desk, lot):
    meter = Meter.objects.create(
        name="pin meter", slope=Decimal("0.9"), offset=Decimal("0.5"), per_degree=Decimal("0.1")
    )
    data = {"raw": "10", "on": "2027-03-09", "meter": meter.pk, "celsius": "25"}
    desk.post(reverse("record_moisture", args=[lot.number]), data)
    reading = lot.moisture_readings.get()
    # (10 - 0.1 x 5) x 0.9 + 0.5
    assert (reading.raw, reading.corrected) == (10, Decimal("9.05"))


@pytest.mark.parametrize("raw", ["-1", "201", "wet", ""])
def test_a_moisture_that_wood_can_t_have_is_not_noted(desk, lot, raw):
    answer = desk.post(reverse("record_moisture", args=[lot.number]), {"raw": raw, "on": WEEKS[0]})
    assert answer.status_code == 422


def billet(lot):
    """Thick wood that loses the same little every week: slow, and far from dry."""
    Piece.objects.filter(pk=lot.pk).update(thickness_mm=70)
    for week, grams in enumerate(("6000", "5998", "5996", "5994.1", "5992.2", "5990.3")):
        weigh_piece(lot=lot, grams=Decimal(grams), on=WEEKS[0] + timedelta(weeks=week))


def read(desk, lot, **data):
    asked = {"on": WEEKS[0] + timedelta(weeks=5), **data}
    return desk.post(reverse("record_moisture", args=[lot.number]), asked, follow=True)


def test_slow_wood_that_may_be_wet_asks_for_a_meter(desk, lot):
    billet(lot)
    lot.piece.refresh_from_db()
    assert lot.piece.state == PieceState.SEASONING
    page = desk.get(reverse("piece", args=[lot.number])).content.decode()
    assert "it may still be wet" in page
    assert "through its 6 weighings" in page
    assert "Basis" in page


def test_an_oven_dried_sample_near_rest_makes_slow_wood_ready(desk, lot):
    billet(lot)
    read(desk, lot, raw="8.3", by_oven="on")
    lot.piece.refresh_from_db()
    assert (lot.piece.state, lot.piece.ready_on) == (
        PieceState.READY,
        WEEKS[0] + timedelta(weeks=5),
    )


@pytest.mark.parametrize("raw", ["12", "17", "5"])
def test_an_oven_dried_sample_far_from_rest_leaves_slow_wood_unready(desk, lot, raw):
    billet(lot)
    read(desk, lot, raw=raw, by_oven="on")
    lot.piece.refresh_from_db()
    assert lot.piece.state == PieceState.SEASONING


def test_a_sample_is_by_oven_or_by_meter(desk, lot):
    meter = Meter.objects.create(name="pin meter")
    answer = read(desk, lot, raw="9", by_oven="on", meter=meter.pk)
    assert answer.status_code == 409
    assert "one or the other" in answer.content.decode()
    assert not lot.moisture_readings.exists()


def test_the_width_of_a_piece_moves_with_the_shop_s_air(desk, lot):
    lot.material.species = Species.objects.create(
        name="Sitka spruce",
        shrinkage_radial=Decimal("4.3"),
        shrinkage_tangential=Decimal("7.5"),
    )
    lot.material.save()
    Piece.objects.filter(pk=lot.pk).update(width_mm=Decimal(150))
    desk.post(reverse("record_moisture", args=[lot.number]), {"raw": "12", "on": "2027-03-09"})
    water = seasoning_of(Piece.objects.get(pk=lot.pk))
    assert [movement.words for movement in water.movements] == ["quartersawn", "flatsawn"]
    assert all(movement.millimetres < 0 for movement in water.movements)
    assert [one.words for one in water.shrinkings] == ["quartersawn", "flatsawn"]
    assert "in width until then" in desk.get(reverse("piece", args=[lot.number])).content.decode()


def test_how_much_green_wood_shrinks_in_the_shop_s_air_is_told(desk, lot):
    """Down to 8.4 % of 30 (Wood Handbook, equations 4-5 and chapter 4): 7.5 x (30 - 8.4) / 30."""
    lot.material.species = Species.objects.create(name="x", shrinkage_tangential=Decimal("7.5"))
    lot.material.save()
    (flat,) = seasoning_of(Piece.objects.get(pk=lot.pk)).shrinkings
    assert flat.percent == pytest.approx(Decimal("5.4"), abs=Decimal("0.05"))
    text = desk.get(reverse("piece", args=[lot.number])).text
    assert "Shrinkage from green, flatsawn" in text
    assert "5.4 % at that moisture" in text


@pytest.mark.parametrize("rows", [1, 25])
def test_the_list_of_what_seasons_takes_a_fixed_number_of_queries(
    desk, django_assert_num_queries, rows
):
    _, lots = stocked_pieces(rows)
    for lot in lots:
        weigh_piece(lot=lot, grams=Decimal(800), on=WEEKS[0])
    with django_assert_num_queries(5):
        page = desk.get(reverse("seasoning"))
    assert len(page.context["page"]) == rows


def rules():
    fresh = StockRules()
    names = [field.name for field in StockRules._meta.fields if field.name != "id"]
    return {name: getattr(fresh, name) for name in names}


@pytest.mark.parametrize(
    "change",
    [
        {"ready_weighings": "1"},
        {"ready_within": "0"},
        {"shop_humidity": "101"},
        {"kerf_mm": "-1"},
        {"label_columns": "0"},
        {"label_width_mm": "wide"},
    ],
    ids=str,
)
def test_rules_that_can_t_hold_are_refused(desk, change):
    assert desk.post(reverse("stock_rules"), {**rules(), **change}).status_code == 422
    assert not StockRules.objects.exists()


def test_a_species_has_figures_of_its_own_on_the_sheet_of_a_meter(desk, lot):
    spruce = Species.objects.create(name="Spruce")
    data = {
        "name": "pins",
        "slope": "0.9",
        "offset": "0.5",
        "per_degree": "0",
        "calibrated_at": "20",
        "of_species-TOTAL_FORMS": "3",
        "of_species-INITIAL_FORMS": "0",
        **{f"of_species-{row}-slope": "1" for row in range(3)},
        **{f"of_species-{row}-offset": "0" for row in range(3)},
        "of_species-0-species": spruce.pk,
        "of_species-0-slope": "1.1",
    }
    desk.post(reverse("new_in_list", args=["meters"]), data)
    meter = Meter.objects.get()
    assert record_moisture(lot=lot, raw=Decimal(10), on=WEEKS[0], meter=meter).corrected == Decimal(
        "9.5"
    )
    type(lot.material).objects.filter(pk=lot.material_id).update(species=spruce)
    lot.material.refresh_from_db()
    assert record_moisture(lot=lot, raw=Decimal(10), on=WEEKS[0], meter=meter).corrected == 11
    page = desk.get(reverse("edit_in_list", args=["meters", meter.pk])).content.decode()
    assert "Corrections by species" in page
    twice = {**data, "of_species-1-species": spruce.pk, "of_species-1-slope": "1.2", "name": "x"}
    answer = desk.post(reverse("new_in_list", args=["meters"]), twice)
    assert answer.status_code == 422
    assert "Two rows say the same" in answer.content.decode()


def test_a_mass_noted_by_mistake_is_crossed_out_and_counts_no_more(desk, lot):
    weigh(desk, lot, "868", WEEKS[0])
    weigh(desk, lot, "86.8", WEEKS[1])
    wrong = lot.weighings.last()
    page = desk.post(reverse("void_weighing", args=[wrong.pk]), follow=True).content.decode()
    lot.piece.refresh_from_db()
    assert lot.piece.mass_g == 868
    assert [weighing.grams for weighing in seasoning_of(lot.piece).weighings] == [868]
    assert "<s>" in page
    page = desk.post(reverse("void_weighing", args=[wrong.pk]), follow=True).content.decode()
    assert "already void" in page


def test_a_moisture_noted_by_mistake_moves_no_wood(desk, lot):
    Piece.objects.filter(pk=lot.pk).update(width_mm=150)
    species = Species.objects.create(name="Spruce", shrinkage_radial=Decimal(4))
    type(lot.material).objects.filter(pk=lot.material_id).update(species=species)
    address = reverse("record_moisture", args=[lot.number])
    desk.post(address, {"raw": "90", "on": WEEKS[0]})
    reading = lot.moisture_readings.get()
    desk.post(reverse("void_reading", args=[reading.pk]))
    own = Piece.objects.get(pk=lot.pk)
    water = seasoning_of(own)
    assert water.movements == []
    assert [one.is_crossed_out for one in water.readings] == [True]
    page = desk.post(reverse("void_reading", args=[reading.pk]), follow=True)
    assert "already void" in page.content.decode()


@pytest.mark.parametrize(
    ("since", "felled", "words"),
    [
        (date(2027, 1, 2), None, "Received on or after that day."),
        (date(2030, 1, 2), None, "Received before that day."),
        (date(2027, 1, 2), date(1998, 5, 3), "on or after that day, felled before it."),
    ],
)
def test_a_lot_says_whether_it_came_in_before_the_listing(desk, lot, since, felled, words):
    species = Species.objects.create(name="Rosewood", listing="Listed.", listed_since=since)
    type(lot.material).objects.filter(pk=lot.material_id).update(species=species)
    Piece.objects.filter(pk=lot.pk).update(felled_on=felled)
    page = desk.get(reverse("piece", args=[lot.number])).content.decode()
    assert words in page
    assert "legal" not in page


def test_fifty_pieces_that_season_stand_on_a_page(desk):
    stocked_pieces(51)
    page, last = (desk.get(reverse("seasoning"), {"page": number}) for number in (1, 2))
    assert (len(page.context["page"]), len(last.context["page"])) == (50, 1)
    assert "1–50 of 51" in page.text
