"""Prices of many materials at once: typed, pasted or from a file, and looked at before saving."""

from datetime import date
from decimal import Decimal
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from openpyxl import Workbook

from inventory.base.calc.sheets import rows_of_text
from inventory.base.refusals import Refusal
from inventory.models import Material, PriceNote
from inventory.purchasing.queries.price_table import read_prices
from inventory.shelf.services.records import NewPrice, record_price, record_prices
from tests.factories import TODAY, make_material, make_supplier

pytestmark = pytest.mark.django_db
ASKED_ON = date(2026, 9, 1)
API = "/api/v1/prices/"


@pytest.fixture
def tuners(workshop):
    row = make_material("Tuners, 4+4")
    return record_price(material=row, price=Decimal(75), on=ASKED_ON, realisable=Decimal(60))


@pytest.fixture
def wire(workshop):
    row = make_material("Fretwire, nickel", kept_as="length", unit="m")
    return record_price(material=row, price=Decimal("3.20"), on=ASKED_ON)


def known(material):
    fresh = Material.objects.get(pk=material.pk)
    return fresh.replacement_price, fresh.replacement_checked_on, fresh.realisable_price


def look(desk, **typed):
    return desk.post(reverse("price_table"), {"on": f"{TODAY}", "look": ""} | typed)


def save(desk, preview):
    rows = preview.context["rows"]
    return desk.post(reverse("price_table"), {"on": f"{TODAY}", "rows": rows, "save": ""})


def as_shown(*materials):
    """The table as the page shows it, nothing typed."""
    return {
        f"m{row.pk}-{name}": "" if value is None else f"{value}"
        for row in materials
        for name, value in (("price", row.replacement_price), ("realisable", row.realisable_price))
    }


def test_typed_prices_are_shown_beside_the_old_ones_and_saved_after_that(desk, tuners, wire):
    """82.00 instead of 75.00 is 9.3 % more; the wire's price still holds, checked today."""
    typed = as_shown(tuners, wire) | {f"m{tuners.pk}-price": "82", f"m{wire.pk}-holds": "on"}
    preview = look(desk, **typed)
    changes = {one.material.name: one for one in preview.context["read"].changes}
    assert round(changes["Tuners, 4+4"].more_percent, 1) == Decimal("9.3")
    assert changes["Fretwire, nickel"].holds
    assert known(tuners) == (75, ASKED_ON, 60)
    assert save(desk, preview).status_code == 302
    assert known(tuners) == (82, TODAY, 60)
    assert known(wire) == (Decimal("3.2"), TODAY, None)


def test_a_table_that_changes_nothing_says_so(desk, tuners, wire):
    answer = look(desk, **as_shown(tuners, wire))
    assert answer.status_code == 409
    assert "Nothing changes" in answer.content.decode()


def test_pasted_rows_change_what_they_name_and_tell_what_they_cannot(desk, tuners, wire):
    pasted = (
        "Material\tReplacement price\tRealisable value\n"
        "tuners, 4+4\t84,50\t\n"
        "Moonbeam\t3\t\n"
        "Fretwire, nickel\tcheap\t2.10\n"
    )
    preview = look(desk, pasted=pasted, **as_shown(tuners, wire))
    assert preview.context["read"].problems == (
        "Row 3: There is no material “Moonbeam”. Write its name as in the stock list.",
        "Row 4: “cheap” is not a price. Write a number such as 12.50.",
    )
    save(desk, preview)
    assert known(tuners) == (Decimal("84.5"), TODAY, 60)
    assert known(wire) == (Decimal("3.2"), ASKED_ON, None)


def sheet(rows):
    book, written = Workbook(), BytesIO()
    for row in rows:
        book.active.append(row)
    book.save(written)
    return written.getvalue()


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_a_file_names_its_columns_in_any_order(desk, tuners, kind):
    rows = [["Realisable value", "Material", "Price"], ["55", "Tuners, 4+4", "80.25"]]
    text = "\n".join(";".join(row) for row in rows).encode()
    upload = SimpleUploadedFile(f"prices.{kind}", text if kind == "csv" else sheet(rows))
    save(desk, look(desk, file=upload, **as_shown(tuners)))
    assert known(tuners) == (Decimal("80.25"), TODAY, 55)


def test_a_broken_workbook_is_refused_in_a_sentence(desk, tuners):
    answer = look(desk, file=SimpleUploadedFile("prices.xlsx", b"PK\x03\x04 torn"))
    assert answer.status_code == 409
    assert "prices.xlsx can&#x27;t be read as a spreadsheet" in answer.content.decode()


def test_a_material_named_twice_is_told(tuners):
    read = read_prices(rows_of_text("Tuners, 4+4;80\nTUNERS, 4+4;81"))
    assert [change.price for change in read.changes] == [80]
    assert read.problems == ("Row 2: Tuners, 4+4 is in the table twice.",)


def test_a_price_that_changed_since_the_preview_is_looked_at_again(desk, tuners):
    preview = look(desk, **as_shown(tuners) | {f"m{tuners.pk}-price": "82"})
    record_price(material=tuners, price=Decimal(79), on=TODAY, realisable=Decimal(60))
    answer = save(desk, preview)
    assert answer.status_code == 409
    assert "changed meanwhile" in answer.content.decode()
    assert known(tuners)[0] == 79


def test_nothing_is_saved_where_one_is_refused(tuners, wire):
    good = NewPrice(material=wire, price=Decimal(4))
    bad = NewPrice(material=tuners, price=Decimal(82), seen=(Decimal(1), None))
    with pytest.raises(Refusal, match="changed meanwhile"):
        record_prices(prices=[good, bad], on=TODAY)
    assert known(wire)[0] == Decimal("3.2")


def test_what_is_left_out_keeps_its_day(tuners):
    record_prices(prices=[NewPrice(material=tuners, realisable=Decimal(50))], on=TODAY)
    assert known(tuners) == (75, ASKED_ON, 50)


@pytest.mark.parametrize("preview", [True, False])
def test_the_api_looks_first_or_saves(phone, tuners, wire, preview):
    prices = [{"material": tuners.pk, "price": "82.00"}, {"material": wire.pk, "price": "3.40"}]
    asked = {"on": f"{TODAY}", "preview": preview, "prices": prices}
    answer = phone.post(API, asked, format="json")
    assert answer.status_code == 200
    assert [row["price_before"] for row in answer.json()] == ["75.0000", "3.2000"]
    assert known(tuners)[0] == (75 if preview else 82)


def test_the_api_refuses_a_material_twice(phone, tuners):
    asked = {"prices": [{"material": tuners.pk, "price": "1"}] * 2}
    answer = phone.post(API, asked, format="json")
    assert answer.status_code == 400
    assert "A material is in the list twice." in answer.json()["detail"]
    assert known(tuners) == (75, ASKED_ON, 60)


def test_a_price_with_more_decimals_than_a_price_has_is_told_and_not_rounded(tuners):
    read = read_prices(rows_of_text("Tuners, 4+4;80.12345"))
    assert read.changes == ()
    assert read.problems == ("Row 1: “80.12345” has more than 4 decimals, which no price has.",)


def test_blank_rows_are_passed_over_and_the_others_keep_their_numbers(tuners):
    read = read_prices(rows_of_text("Material;Price\n;\nTuners, 4+4;80\n;\nGone;1"))
    assert [change.price for change in read.changes] == [80]
    assert [problem.partition(":")[0] for problem in read.problems] == ["Row 5"]


def test_a_save_that_is_refused_keeps_the_prices_in_their_fields(desk, tuners):
    page = desk.post(reverse("price_table"), {"look": "", "on": TODAY, **row_of(tuners, "80")})
    record_price(material=tuners, price=Decimal(79), on=TODAY, realisable=Decimal(60))
    again = {"save": "", "on": TODAY, "rows": page.context["rows"]}
    refused = desk.post(reverse("price_table"), again)
    assert refused.status_code == 409
    assert 'value="79.00"' in refused.content.decode()
    again["on"] = "soon"
    assert desk.post(reverse("price_table"), again).status_code == 422


def test_what_was_typed_counts_though_the_list_has_changed_meanwhile(desk, tuners):
    typed = {"look": "", "on": TODAY, **row_of(tuners, "80")}
    page = desk.post(f"{reverse('price_table')}?only=price&q=nothing", typed)
    assert [change.price for change in page.context["read"].changes] == [80]


def row_of(material, price):
    return {f"m{material.pk}-price": price, f"m{material.pk}-realisable": "60"}


@pytest.mark.parametrize("preview", [True, False])
def test_a_material_that_is_archived_is_refused_in_a_sentence(phone, tuners, wire, preview):
    Material.objects.filter(pk=wire.pk).update(is_archived=True)
    prices = [{"material": tuners.pk, "price": "82.00"}, {"material": wire.pk, "price": "3.40"}]
    answer = phone.post(API, {"preview": preview, "prices": prices}, format="json")
    assert answer.status_code == 409
    assert "Fretwire, nickel is archived: leave out" in answer.json()["detail"]
    assert known(tuners) == (75, ASKED_ON, 60)


def test_a_material_that_is_not_there_is_told_at_its_row(phone, tuners):
    prices = [{"material": tuners.pk, "price": "82.00"}, {"material": 10**6, "price": "3.40"}]
    answer = phone.post(API, {"prices": prices}, format="json")
    assert answer.status_code == 400
    assert answer.json()["errors"][0]["field"] == "prices.1.material"
    assert known(tuners) == (75, ASKED_ON, 60)


def test_five_hundred_prices_take_few_queries(phone, workshop, django_assert_max_num_queries):
    rows = [make_material("Tuners", supplier=make_supplier())]
    rows += Material.objects.bulk_create(
        Material(name=f"Peg {number}", family=rows[0].family) for number in range(499)
    )
    prices = [{"material": row.pk, "price": "4.20", "realisable": "3.00"} for row in rows]
    for day in (ASKED_ON, TODAY):
        asked = {"on": f"{day}", "prices": prices}
        with django_assert_max_num_queries(40):
            assert phone.post(API, asked, format="json").status_code == 200
    assert PriceNote.objects.count() == 4 * len(rows)
    assert {known(row) for row in rows} == {(Decimal("4.2"), TODAY, 3)}
