from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from inventory.wood.calc.species import read_annotations, read_species
from inventory.wood.calc.wood import movement_coefficient

DATA = Path(__file__).parents[3] / "inventory" / "data"


@pytest.fixture(scope="module")
def species():
    facts = read_species((DATA / "species.csv").read_text())
    return {one.botanical_name: one for one in facts}


@pytest.fixture(scope="module")
def annotations():
    return read_annotations((DATA / "annotations.csv").read_text())


def test_about_45_species_each_once(species):
    assert 43 <= len(species) <= 50
    assert len({one.trade_name for one in species.values()}) == len(species)


# Wood Handbook table 4-3, page text read: radial, tangential and volumetric shrinkage.
@pytest.mark.parametrize(
    ("name", "shrinkage"),
    [
        ("Prunus serotina", ("3.7", "7.1", "11.5")),
        ("Chamaecyparis lawsoniana", ("4.6", "6.9", "10.1")),
        ("Alnus rubra", ("4.4", "7.3", "12.6")),
        ("Juglans cinerea", ("3.4", "6.4", "10.6")),
    ],
)
def test_verified_shrinkage_is_carried_over(species, name, shrinkage):
    found = species[name].shrinkage
    assert (found.radial, found.tangential, found.volumetric) == tuple(map(Decimal, shrinkage))
    assert found.status.startswith("verified")
    assert "shrinkage" not in species[name].unverified


def test_every_figure_says_where_it_comes_from(species):
    for one in species.values():
        assert bool(one.air_dry_density) == bool(one.density_status), one.trade_name
        assert bool(one.sg_12) == bool(one.sg_12_status), one.trade_name
        assert bool(one.basic_sg) == bool(one.basic_sg_status), one.trade_name
        assert bool(one.shrinkage.radial) == bool(one.shrinkage.status), one.trade_name
        assert one.listing.status, one.trade_name
        assert one.dust_status, one.trade_name


def test_what_stands_from_memory_says_so(species):
    sitka = species["Picea sitchensis"]
    assert sitka.unverified == ("density", "shrinkage", "listing", "dust")
    assert "from memory, unverified" in sitka.density_status


def test_a_listing_has_its_date_and_defers_to_the_authority(species):
    rosewood = species["Dalbergia latifolia"].listing
    assert (rosewood.appendix, rosewood.annotation) == ("II", "#15")
    assert rosewood.as_of == date(2023, 2, 23)
    assert rosewood.words == (
        "Appendix II #15: genus, lists in force since 23 Feb 2023, read 25 Nov 2026. "
        "Check with the authority."
    )


def test_the_day_since_which_a_species_is_listed_says_where_it_is_from(species):
    rosewood = species["Dalbergia latifolia"]
    assert rosewood.listing.since == date(2017, 1, 2)
    assert "listed since" in rosewood.unverified
    assert species["Swietenia macrophylla"].listing.since is None


def test_the_strictest_listing_has_no_annotation(species):
    assert species["Dalbergia nigra"].listing.words.startswith("Appendix I: whole species")


def test_without_a_known_listing_the_authority_is_asked_too(species):
    assert species["Picea abies"].listing.words == (
        "No listing known, read 25 Nov 2026. Check with the authority."
    )


def test_every_annotation_is_explained(species, annotations):
    named = {one.listing.annotation for one in species.values()} - {""}
    assert named <= set(annotations)
    assert "finished musical instruments" in annotations["#15"].covers
    assert all(one.status for one in annotations.values())


def test_no_word_says_what_is_allowed(species, annotations):
    words = " ".join(
        [one.listing.words + one.caution for one in species.values()]
        + [one.covers for one in annotations.values()]
    ).lower()
    assert "legal" not in words


def test_every_species_has_a_caution(species):
    assert all("Read the data sheet." in one.caution for one in species.values())
    assert "sensitive" in species["Thuja plicata"].caution


def test_figures_lie_where_wood_lies(species):
    for one in species.values():
        shrinkage = one.shrinkage
        assert one.air_dry_density is None or 300 < one.air_dry_density < 1350
        if shrinkage.radial and shrinkage.tangential:
            assert shrinkage.radial < shrinkage.tangential, one.trade_name
            assert Decimal("0.0008") < movement_coefficient(shrinkage.radial) < Decimal("0.004")
        if one.sg_12 and one.basic_sg:
            assert one.sg_12 < one.basic_sg * Decimal("1.35"), one.trade_name


@pytest.mark.parametrize(
    ("column", "text"),
    [("air_dry_density", "heavy"), ("listing_as_of", "2023"), ("dust", "sneezing")],
)
def test_a_row_that_can_not_be_read_is_named(column, text):
    header = (DATA / "species.csv").read_text().splitlines()[0]
    columns = header.split(",")
    plain = dict.fromkeys(columns, "") | {
        "botanical_name": "Abies nova",
        "listing_read_on": "2026-11-25",
        "dust": "irritant",
    }
    row = ",".join((plain | {column: text})[name] for name in columns)
    with pytest.raises(ValueError, match="Abies nova"):
        read_species(f"{header}\n{row}")
