"""What is worked out over the API, and the shop's own rules."""

import pytest

from inventory.models import StockRules
from tests.inventory.problems import problem

API = "/api/v1"
MANDOLIN = {"scale": "350", "frets": "22", "nut_width": "29", "last_fret_width": "41"}


def test_fretwire_is_worked_out_from_the_fingerboard(phone, workshop):
    """A mandolin of 22 frets takes about 0.93 m net (common practice, no source)."""
    shown = phone.get(f"{API}/fretwire/", MANDOLIN).json()
    assert float(shown["net"]) == pytest.approx(930, abs=15)
    assert float(shown["draw"]) == pytest.approx(1.12 * float(shown["net"]), abs=0.01)
    assert (len(shown["frets"]), shown["frets"][11]["from_nut"]) == (22, "175.000")
    problem(phone.get(f"{API}/fretwire/", MANDOLIN | {"frets": "0"}), 400)
    problem(phone.get(f"{API}/fretwire/", {}), 400)


def test_the_rules_of_the_stock_are_read_and_changed(phone, workshop):
    read = phone.get(f"{API}/stock-rules/")
    assert (read.json()["take_first"], read.json()["kerf_mm"]) == ("oldest", "1.500")
    change = {"take_first": "dearest", "kerf_mm": "3"}
    problem(phone.patch(f"{API}/stock-rules/", change), 428)
    tag = {"If-Match": read["ETag"]}
    assert phone.patch(f"{API}/stock-rules/", change, headers=tag).status_code == 200
    assert StockRules.objects.get().take_first == "dearest"
    problem(phone.patch(f"{API}/stock-rules/", change, headers=tag), 412)
    problem(
        phone.patch(f"{API}/stock-rules/", {"ready_weighings": 1}, headers={"If-Match": "*"}), 400
    )
