"""Species: dated notes from a file, the maker's own words left alone."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.models import Meter, Species
from inventory.wood.queries import annotations_in
from inventory.wood.services import load_species
from tests.inventory.stocked import stocked_pieces


def test_the_shipped_species_are_taken_in_with_their_sources(desk):
    page = desk.post(reverse("load_species"), follow=True).content.decode()
    assert Species.objects.count() >= 40
    spruce = Species.objects.get(botanical_name="Picea sitchensis")
    # Wood Handbook table 4-3, from memory (shared note): 4.3 radial, 7.5 tangential
    assert (spruce.shrinkage_radial, spruce.shrinkage_tangential) == (
        Decimal("4.3"),
        Decimal("7.5"),
    )
    assert "from memory" in spruce.source
    assert not spruce.is_verified
    assert "Check with the authority" in page


def test_taking_them_in_again_leaves_what_the_maker_changed(workshop):
    load_species()
    Species.objects.filter(botanical_name="Picea sitchensis").update(dust="my own words")
    assert load_species() == 0
    assert Species.objects.get(botanical_name="Picea sitchensis").dust == "my own words"


def test_every_listing_says_when_it_was_read_and_whom_to_ask(workshop):
    load_species()
    for species in Species.objects.all():
        assert species.listing_read_on
        assert "Check with the authority" in species.listing


def test_what_the_annotation_of_a_listing_covers_stands_beside_it(desk):
    load_species()
    rosewood = Species.objects.get(botanical_name="Dalbergia latifolia")
    material, (lot, _) = stocked_pieces()
    material.species = rosewood
    material.save(update_fields=["species"])
    for address in (reverse("piece", args=[lot.number]), reverse("short_list", args=["species"])):
        text = desk.get(address).text
        assert "#15 covers all parts except leaves" in text


def test_a_listing_without_an_annotation_or_with_an_unknown_one_has_none():
    assert annotations_in("no listing known") == []
    assert [one.number for one in annotations_in("Appendix II #17, #99 and #17")] == ["#17"]


def test_a_species_of_one_s_own_is_added(desk):
    data = {"name": "Pear", "shrinkage_radial": "3.9", "shrinkage_tangential": "11.3"}
    data["fibre_saturation"] = "28"
    desk.post(reverse("new_in_list", args=["species"]), data)
    pear = Species.objects.get()
    assert (pear.shrinkage_tangential, pear.fibre_saturation) == (Decimal("11.3"), 28)


@pytest.mark.django_db
def test_western_redcedar_comes_with_a_saturation_of_its_own():
    load_species()
    cedar = Species.objects.get(botanical_name="Thuja plicata")
    assert cedar.fibre_saturation == 22
    assert set(Species.objects.exclude(pk=cedar.pk).values_list("fibre_saturation", flat=True)) == {
        Decimal(30)
    }


@pytest.mark.parametrize(
    "change", [{"shrinkage_radial": "-1"}, {"shrinkage_radial": "60"}, {"fibre_saturation": "5"}]
)
def test_a_shrinkage_that_can_t_be_is_refused(desk, change):
    answer = desk.post(
        reverse("new_in_list", args=["species"]),
        {"name": "Pear", "fibre_saturation": "30", **change},
    )
    assert answer.status_code == 422


def test_a_meter_is_kept_with_its_last_test(desk):
    data = {
        "name": "pins",
        "slope": "1",
        "offset": "0",
        "per_degree": "0",
        "calibrated_at": "20",
        "tested_on": "2027-01-05",
        "of_species-TOTAL_FORMS": "0",
        "of_species-INITIAL_FORMS": "0",
    }
    desk.post(reverse("new_in_list", args=["meters"]), data)
    assert str(Meter.objects.get().tested_on) == "2027-01-05"
    assert "5 Jan 2027" in desk.get(reverse("short_list", args=["meters"])).content.decode()
