"""What a maker may choose from."""

from zoneinfo import ZoneInfo

import pytest

from inventory.base.countries import country_names
from shop.base import choices


def test_every_country_of_iso_3166_1_can_be_chosen():
    # 249 codes are assigned: https://www.iso.org/glossary-for-iso-3166.html; XK is customary.
    assert len(choices.countries()) == 249 + 1


@pytest.mark.parametrize("code", ["EU", "EZ", "UN", "IC", "ZZ"])
def test_a_union_a_part_of_a_country_and_a_test_code_are_no_countries(code):
    assert code not in country_names()


def test_a_new_workshop_begins_in_the_time_zone_of_its_machine(monkeypatch):
    monkeypatch.setattr(choices, "LOCALTZ", ZoneInfo("Europe/Lisbon"))
    assert choices.zone_of_this_machine() == "Europe/Lisbon"


@pytest.mark.parametrize("key", ["Etc/UTC", "localtime"])
def test_a_machine_whose_zone_is_no_place_gives_utc(monkeypatch, key):
    monkeypatch.setattr(choices, "LOCALTZ", type("Zone", (), {"key": key})())
    assert choices.zone_of_this_machine() == "UTC"
