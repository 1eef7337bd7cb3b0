"""Closing out on the page and over the API."""

from decimal import Decimal

import pytest

from inventory.ledger.services.incoming import NewLine
from inventory.models import Lot
from inventory.purchasing.services.deliveries import receive_delivery
from quotes.base.calc.snapshot import from_data
from quotes.closing.calc.sheet import CloseOutSheet
from quotes.closing.queries.close_out import close_out_sheet
from quotes.closing.services import close_out, record_expense
from quotes.invoicing.services.payments import record_payment
from quotes.models import CloseOut, Expense
from shop.builds.services.end import finish_build
from shop.builds.services.stock import assign_material, draw_for_build, scrap_for_build
from shop.models import Build
from tests.factories import NOW, TODAY, make_material
from tests.shop.factories import (
    make_build,
    make_build_line,
)

pytestmark = pytest.mark.usefixtures("the_day")


def test_the_page_closes_the_build(build, desk):
    finish_build(build=build, now=NOW)
    address = f"/builds/{build.pk}/close-out/"
    text = desk.get(address).content.decode()
    assert "36.00" in text
    desk.post(address, {"note_to_self": "Order two sets.", "charge_next_time": "300"})
    assert CloseOut.objects.get().charge_next_time == Decimal(300)


def test_the_page_draws_quoted_against_worked(build, desk):
    text = desk.get(f"/builds/{build.pk}/close-out/").content.decode()
    assert "4:00 h quoted, 5:00 h worked, by stage." in text
    assert "Carve: 5:00 h worked, 4:00 h quoted" in text


def test_the_page_totals_the_difference_and_says_nothing_of_a_day_that_nobody_promised(build, desk):
    page = desk.get(f"/builds/{build.pk}/close-out/").content.decode()
    total = page.split("All stages")[1].split("</tr>")[0]
    assert "1:00" in total.split('data-label="Difference"')[1]
    Build.objects.filter(pk=build.pk).update(promised_on=TODAY)
    asked = "Against the promised date</dt><dd>"
    assert f"{asked}not finished yet" in desk.get(f"/builds/{build.pk}/close-out/").content.decode()
    Build.objects.filter(pk=build.pk).update(promised_on=None)
    assert asked not in desk.get(f"/builds/{build.pk}/close-out/").content.decode()


def test_a_build_is_closed_out_over_the_api(build, phone):
    address = f"/api/v1/builds/{build.pk}/close-out/"
    # 250 net less 70 of material over 5 h; the open stage is beyond its 4 h already.
    assert phone.get(address).json()["earnings"] is None
    assert phone.get(address).json()["forecast"]["effective_hourly"] == "36.000"
    expense = {"build": build.pk, "kind": "shipping", "amount": "30.00", "paid_on": f"{TODAY}"}
    noted = phone.post("/api/v1/expenses/", expense)
    assert noted.status_code == 201
    assert phone.get(address).json()["forecast"]["shipping"] == "30.000"
    assert phone.post(address, {}).status_code == 409
    finish_build(build=build, now=NOW)
    asked = {"note_to_self": "Order two sets.", "decline_under": "270.00"}
    assert phone.post(address, asked).json()["finished_on"] == f"{TODAY}"
    assert CloseOut.objects.get().decline_under == Decimal(270)
    assert phone.post(f"/api/v1/expenses/{noted.json()['id']}/remove/").status_code == 204
    assert phone.get(address).json()["earnings"]["shipping"] == "30.000"


def test_what_was_paid_is_noted_at_the_desk(build, desk):
    address = f"/builds/{build.pk}/close-out/"
    asked = {"kind": "outside", "about": "Plating", "amount": "12.00", "paid_on": f"{TODAY}"}
    assert desk.post(address, asked | {"amount": ""}).status_code == 422
    assert desk.post(address, asked).status_code == 302
    page = desk.get(address).content.decode()
    assert "as paid" in page
    assert "Plating" in page
    expense = build.expenses.get()
    assert desk.post(f"/builds/expenses/{expense.pk}/remove/").url == address


def test_a_line_without_a_cost_is_said_and_no_hourly_rate_is_shown(build, desk, phone):
    line = make_build_line(build, "bridge", planned_cost=Decimal("12.00"))
    finish_build(build=build, now=NOW)
    sheet = close_out_sheet(build, TODAY)
    assert sheet.lines_without_cost == ("bridge",)
    assert sheet.whole_earnings is None
    address = f"/builds/{build.pk}/close-out/"
    assert "not known: 1 line without a cost" in desk.get(address).content.decode()
    # Priced at 9.50: 250 less 70 and 9.50 over 5 h is 34.10.
    assert desk.post(address, {"line": line.pk, "line_cost": "9.50"}).status_code == 302
    got = phone.get(f"/api/v1{address}").json()
    assert (got["lines_without_cost"], got["earnings"]["effective_hourly"]) == ([], "34.100")
    outcome = close_out_sheet(build, TODAY).materials[1]
    assert (outcome.actual, outcome.price) == (Decimal("9.50"), Decimal("-2.50"))
    assert "34.10" in desk.get(address).content.decode()


def test_nothing_used_is_a_cost_of_0(build):
    line = make_build_line(build, "bridge", planned_cost=Decimal("12.00"))
    record_expense(build=build, kind="material", line=line, amount=Decimal(0), paid_on=TODAY)
    sheet = close_out_sheet(build, TODAY)
    assert sheet.lines_without_cost == ()
    assert sheet.materials[1].actual == 0


def test_the_cost_of_a_material_not_from_stock_needs_its_line(build, phone):
    asked = {"build": build.pk, "kind": "material", "amount": "9.50", "paid_on": f"{TODAY}"}
    assert phone.post("/api/v1/expenses/", asked).status_code == 409
    other = make_build_line(make_build(), "bridge", planned_cost=Decimal("12.00"))
    assert phone.post("/api/v1/expenses/", asked | {"line": other.pk}).status_code == 409


def test_scrap_beside_the_list_is_scrap_and_gains_nothing(build, desk):
    maple = make_material("maple wedge", kept_as="piece", replacement_price=Decimal(60))
    receive_delivery(
        received_on=TODAY,
        lines=[NewLine(material=maple, quantity=Decimal(1), price=Decimal("18.55"))],
        now=NOW,
    )
    before = close_out_sheet(build, TODAY).money.profits.wood_gain
    [lot] = Lot.objects.filter(material=maple)
    scrap_for_build(build=build, quantity=Decimal(1), why="split", now=NOW, material=maple, lot=lot)
    sheet = close_out_sheet(build, TODAY)
    row = next(one for one in sheet.materials if one.name == "maple wedge")
    assert (row.actual, row.quantity, row.scrap) == (Decimal("18.55"), 0, Decimal("18.55"))
    # 60.00 today less 18.55 would be a gain of 41.45 on wood that is in the stove.
    assert sheet.money.profits.wood_gain == before
    # 35.00 of spruce and 18.55 of maple.
    assert desk.get(f"/builds/{build.pk}/material/").context["scrapped_cost"] == Decimal("53.55")


def test_an_open_build_shows_what_came_in_what_it_cost_and_a_forecast(build, desk):
    stage = build.stages.get()
    stage.hours_planned = Decimal(16)
    stage.save()
    record_payment(
        client=build.quote.commission.client,
        commission=build.quote.commission,
        amount=Decimal(90),
        received_on=TODAY,
        now=NOW,
    )
    sheet = close_out_sheet(build, TODAY)
    so_far = sheet.money.so_far
    assert (so_far.money_in, so_far.costs, so_far.hours) == (90, 70, 5)
    # 250 less 70 over the 16 h that it is quoted at, not over the 5 h so far.
    assert sheet.money.forecast.effective_hourly == Decimal("11.25")
    page = desk.get(f"/builds/{build.pk}/close-out/").content.decode()
    assert "Forecast per hour" in page
    assert "Effective hourly" not in page


def test_next_time_charges_what_was_used_at_todays_prices(build):
    spruce = build.lines.get().material
    spruce.replacement_price = Decimal(52)
    spruce.save()
    charge = close_out_sheet(finish_build(build=build, now=NOW), TODAY).charge_next
    # 5 h at 45 = 225; one set used at 52, the scrapped one not, and 25 % = 65; 10 % of 225 = 22.50:
    # 312.50, up to the next 10.
    assert [(part.name, part.amount) for part in charge.parts] == [
        ("Labour", Decimal("225.00")),
        ("Materials", Decimal("65.00")),
        ("Contingency", Decimal("22.50")),
        ("Rounding up", Decimal("7.50")),
    ]
    assert (charge.price, charge.jobs) == (Decimal("320.00"), 1)


@pytest.fixture
def closed_without_a_cost(build):
    """A closed build whose bridge, planned at 12.00, was neither drawn nor priced."""
    line = make_build_line(build, "bridge", planned_cost=Decimal("12.00"))
    finish_build(build=build, now=NOW)
    close_out(build=build, on=TODAY, now=NOW)
    return line


def test_a_line_priced_after_closing_corrects_the_figure_and_leaves_the_first_in_sight(
    build, closed_without_a_cost, desk, phone
):
    """250.00 net less 70.00 and 9.50 of material over 5 h: 34.10. By hand 9.50 more were paid."""
    line, address = closed_without_a_cost, f"/builds/{build.pk}/close-out/"
    before = from_data(CloseOutSheet, CloseOut.objects.get().figures)
    assert before.whole_earnings is None
    assert "not known: 1 line without a cost" in desk.get(address).content.decode()
    # What comes in after closing is no part of the correction.
    record_expense(build=build, kind="shipping", amount=Decimal(30), paid_on=TODAY)
    desk.post(address, {"line": line.pk, "line_cost": "9.50"})
    got = phone.get(f"/api/v1{address}").json()
    assert (got["lines_without_cost"], got["earnings"]["effective_hourly"]) == ([], "34.100")
    kept = CloseOut.objects.get()
    assert from_data(CloseOutSheet, kept.first_figures) == before
    after = from_data(CloseOutSheet, kept.figures)
    assert after.money.profits.cash == before.money.profits.cash - Decimal("9.50")
    assert after.money.profits.wood_gain == before.money.profits.wood_gain
    assert (after.stages, after.charge_next) == (before.stages, before.charge_next)
    cost = Expense.objects.get(line=line)
    assert phone.post(f"/api/v1/expenses/{cost.pk}/remove/").status_code == 409
    assert Expense.objects.filter(pk=cost.pk).exists()
    assert "materials corrected on" in desk.get(address).content.decode()


def test_a_line_named_and_drawn_after_closing_corrects_the_figure(
    build, closed_without_a_cost, desk, phone
):
    """Drawn at 8.00, to buy again at 10.00: (250.00 - 70.00 - 8.00) / 5 h is 34.40, 2.00 gained."""
    line, address = closed_without_a_cost, f"/builds/{build.pk}/close-out/"
    before = from_data(CloseOutSheet, CloseOut.objects.get().figures)
    refused = phone.post(f"/api/v1{address}correct/")
    assert refused.status_code == 409
    bridge = make_material("bridge blank", replacement_price=Decimal("10.00"))
    lines = [NewLine(material=bridge, quantity=Decimal(1), price=Decimal("8.00"))]
    receive_delivery(received_on=TODAY, lines=lines, now=NOW)
    assign_material(line=line, material=bridge)
    draw_for_build(build=build, line=line, quantity=Decimal(1), now=NOW)
    assert "Drawn or priced since: bridge" in desk.get(address).content.decode()
    desk.post(f"{address}correct/")
    after = from_data(CloseOutSheet, CloseOut.objects.get().figures)
    assert after.whole_earnings.effective_hourly == Decimal("34.40")
    assert after.money.profits.wood_gain == before.money.profits.wood_gain + 2
    assert after.money.profits.cash == before.money.profits.cash
    assert "Drawn or priced since" not in desk.get(address).content.decode()


def test_the_receipts_of_a_close_out_lead_to_their_papers(build, desk):
    client = {"client": build.quote.commission.client, "commission": build.quote.commission}
    row = record_payment(amount=Decimal(180), received_on=TODAY, now=NOW, **client)
    text = desk.get(f"/builds/{build.pk}/close-out/").content.decode()
    assert f'<a href="/payments/{row.pk}/receipt/">{row.number}</a>' in text
