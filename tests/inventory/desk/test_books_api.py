"""What stock stands at and its journal over the API, as figures and as tables."""

from io import BytesIO

import openpyxl
import pytest

from inventory.shelf.services.moves import draw_stock
from tests.factories import NOW
from tests.inventory.stocked import stocked

API = "/api/v1"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@pytest.fixture
def nuts(workshop):
    material = stocked(name="Bone nut", quantity=10, price="20.00")
    draw_stock(material=material, quantity=material.on_hand / 2, holder="build:1", now=NOW)
    return material


def test_the_stock_is_valued_now_and_on_a_day(phone, nuts):
    (now,) = phone.get(f"{API}/stock-value/").json()
    assert (now["quantity"], now["cost"], now["replacement"]) == ("5.000", "10.000", "10.000")
    (then,) = phone.get(f"{API}/stock-value/", {"on": "2027-03-09"}).json()
    assert then == now
    assert phone.get(f"{API}/stock-value/", {"on": "2027-03-08"}).json() == []


@pytest.mark.parametrize("path", ["stock-value/table", "journal/table"])
def test_tables_come_in_the_form_that_is_accepted(phone, nuts, path):
    plain = phone.get(f"{API}/{path}/")
    assert plain["Content-Type"].startswith("text/csv")
    assert "Bone nut" in plain.getvalue().decode("utf-8-sig")
    book = phone.get(f"{API}/{path}/", headers={"Accept": XLSX})
    assert book["Content-Type"] == XLSX
    assert book["Content-Disposition"].endswith('.xlsx"')
    rows = list(openpyxl.load_workbook(BytesIO(book.content)).active.values)
    assert any("Bone nut" in row for row in rows)
    assert phone.get(f"{API}/{path}/?format=xlsx")["Content-Type"] == XLSX


def test_the_journal_is_cut_to_its_days(phone, nuts):
    whole = phone.get(f"{API}/journal/table/").getvalue().decode().splitlines()
    none = (
        phone.get(f"{API}/journal/table/", {"last": "2027-03-08"}).getvalue().decode().splitlines()
    )
    assert len(whole) == 3
    assert len(none) <= 1


@pytest.mark.parametrize("path", ["stock-value", "stock-value/table"])
def test_a_day_that_is_none_is_a_problem(phone, nuts, path):
    answer = phone.get(f"{API}/{path}/", {"on": "2027-02-30"})
    assert answer.status_code == 400
    assert phone.get(f"{API}/{path}/", {"on": "9999-12-31"}).status_code in {200, 400}
    assert phone.get(f"{API}/{path}/", {"on": "0001-01-01"}).status_code in {200, 400}
