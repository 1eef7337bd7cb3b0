"""Several instruments in one order: what each has of its own, and what only the order can do.

A little mandolin by hand: 4 h × 45.00 = 180.00; a top at 40.00 and 25 % markup 50.00; contingency
10 % of labour 18.00; sum 248.00, up to the next 10: 250.00. Two: 500.00, with 20 % tax 600.00;
parts 30/30/40: 180.00, 180.00, 240.00.
"""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.base.refusals import Refusal
from inventory.ledger.services.incoming import NewLine
from inventory.models import Lot
from inventory.purchasing.services.deliveries import receive_delivery
from quotes.cancelling.queries import cancel_page
from quotes.cancelling.services import cancel_commission
from quotes.changes.documents import confirmation_paper
from quotes.changes.services import offer_change, record_change_decision
from quotes.closing.queries.close_out import close_out_sheet
from quotes.invoicing.services.invoices import issue_invoice
from quotes.models import Invoice, Quote
from quotes.papers.documents.printing import print_paper
from quotes.quoting.queries.issue_check import missing_for_issue
from quotes.quoting.services import issue
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.draft import draft_quote
from quotes.quoting.services.edit import edit_quote, set_price
from quotes.quoting.services.instruments import add_instrument, join_order, leave_order
from quotes.quoting.services.issue import issue_quote
from quotes.sending.documents import SENDABLE
from shop.builds.services.end import finish_build
from shop.builds.services.stock import draw_for_build
from shop.hours.queries.work import Work
from shop.hours.services.entries import log_hours
from tests.factories import NOW, TODAY, make_material
from tests.quotes.factories import make_policy, make_quote, sheet_now
from tests.shop.factories import make_template, make_template_line, make_template_stage

pytestmark = pytest.mark.django_db


@pytest.fixture
def spruce(workshop, settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    make_policy()
    top = make_material("spruce set", kept_as="piece", replacement_price=Decimal(40))
    receive_delivery(
        received_on=TODAY,
        lines=[NewLine(material=top, quantity=Decimal(2), price=Decimal(70))],
        now=NOW,
    )
    return top


@pytest.fixture
def template(spruce):
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("2", "4", "8"))
    make_template_line(template, "top", material=spruce)
    return template


@pytest.fixture
def order(template):
    """A draft of two mandolins that are alike."""
    first = make_quote(template=template, title="Mandolin in maple", on=TODAY)
    add_instrument(quote=first, on=TODAY, is_same=True, title="Mandolin in walnut")
    return first


def accept(order):
    issued = issue_quote(quote=order, on=TODAY, now=NOW)
    accept_quote(quote=issued, on=TODAY, now=NOW, by="Osric")
    return Quote.objects.get(pk=issued.pk)


@pytest.fixture
def accepted(order):
    return accept(order)


def second_of(order):
    return order.further.get()


def test_a_further_instrument_is_confirmed_with_its_order_and_never_by_itself(
    accepted, phone, desk, monkeypatch
):
    second = second_of(accepted)
    whole, asked = confirmation_paper(accepted, TODAY), confirmation_paper(second, TODAY)
    assert asked == whole
    assert asked.gross == Decimal("600.00")
    assert phone.get(f"/api/v1/quotes/{accepted.pk}/confirmation/").status_code == 200
    assert phone.get(f"/api/v1/quotes/{second.pk}/confirmation/").status_code == 404
    printed = []
    monkeypatch.setattr(
        "quotes.changes.pages.print_paper",
        lambda name, paper, **given: printed.append(paper) or print_paper(name, paper, **given),
    )
    assert desk.get(f"/quotes/{second.pk}/confirmation/").status_code == 200
    assert printed == [whole]


def test_a_further_instrument_is_not_mailed_by_itself(order):
    issued = issue_quote(quote=order, on=TODAY, now=NOW)
    describe = SENDABLE["quote"][1]
    assert describe(issued, TODAY).name == f"Quote {issued.number}"
    with pytest.raises(Refusal, match="whole order"):
        describe(second_of(issued), TODAY)
    accept_quote(quote=issued, on=TODAY, now=NOW)
    issued.refresh_from_db()
    describe = SENDABLE["confirmation"][1]
    assert describe(issued, TODAY).name == f"Order confirmation {issued.number}"
    with pytest.raises(Refusal, match="whole order"):
        describe(second_of(issued), TODAY)


def test_cancelling_credits_the_change_orders_of_every_instrument(accepted):
    """180.00 and a change of 120.00 with tax 144.00: 324.00 is invoiced.

    Settled at 150.00, 174.00 is credited, the latest invoice first: 144.00 and 30.00.
    """
    issue_invoice(quote=accepted, part=0, on=TODAY)
    second = second_of(accepted)
    change = offer_change(
        quote=second, title="Inlay", words="Inlay at fret 12", price=Decimal(120), on=TODAY
    )
    change = record_change_decision(change=change, agreed=True, now=NOW, by="Osric")
    issue_invoice(quote=second, change=change, on=TODAY)
    cancel_commission(commission=accepted.commission, now=NOW, settlement=Decimal(150))
    credits = Invoice.objects.filter(kind=Invoice.Kind.CREDIT).order_by("gross")
    assert [one.gross for one in credits] == [Decimal("-144.00"), Decimal("-30.00")]
    assert sum(one.gross for one in Invoice.objects.all()) == Decimal(150)


def test_materials_that_stay_drawn_have_the_markup_of_their_own_instrument(order):
    """A top of 35.00 in each: 35.00 × 1.25 = 43.75 and 35.00 × 1.5 = 52.50, in all 96.25."""
    edit_quote(quote=second_of(order), material_markup=Decimal("0.5"))
    accepted = accept(order)
    for one, lot in zip(accepted.instruments, Lot.objects.order_by("pk"), strict=True):
        line = one.build.lines.get()
        draw_for_build(build=one.build, quantity=Decimal(1), now=NOW, line=line, lot=lot)
    work = cancel_page(accepted.commission, TODAY).settlement.work
    (kept,) = [part for part in work.parts if part.name == "Materials that stay drawn"]
    assert kept.amount == Decimal("96.25")
    assert kept.how.count("35 at cost") == 2


def test_the_next_price_of_a_further_instrument_has_the_fee_of_its_order(order, posy):
    """Fees of 4 % stand at the first; alike and each worked 5 h, both are charged alike next."""
    edit_quote(quote=order, fee_percent=Decimal("0.04"))
    charged = []
    for one in accept(order).instruments:
        work = [Work(build=one.build, stage=one.build.stages.get())]
        log_hours(person=posy, day=TODAY, minutes=300, now=NOW, work=work)
        done = finish_build(build=one.build, now=NOW)
        charged.append(close_out_sheet(done, TODAY).charge_next)
    fees = [sum(part.amount for part in each.parts if part.key == "fees") for each in charged]
    assert fees[0] == fees[1] > 0


def test_every_instrument_is_looked_at_before_the_order_is_issued(order):
    second = second_of(order)
    told = [one.words for one in missing_for_issue(order, TODAY)]
    assert not any("No day" in words for words in told), "the queue gives it"
    second.stages.all().delete()
    second.materials.all().delete()
    missing = missing_for_issue(Quote.objects.get(pk=order.pk), TODAY)
    told = {(one.words, one.of) for one in missing}
    assert (f"{second.title}: It has no price.", second.pk) in told
    assert (f"{second.title}: No day on which it is ready.", second.pk) in told
    with pytest.raises(Refusal, match="Mandolin in walnut has no price yet"):
        issue_quote(quote=order, on=TODAY, now=NOW)


def test_the_days_are_asked_once_and_anew_when_hours_of_any_instrument_change(order, monkeypatch):
    keys = []
    monkeypatch.setattr(issue, "run_unlocked", lambda key, work: keys.append(key) or work())
    issue_quote(quote=order, on=TODAY, now=NOW)
    rows = {stage.pk for one in order.instruments for stage in one.stages.all()}
    assert len(rows) == 2
    ((*_, work),) = keys
    assert {row[0] for row in work} == rows


def test_joining_locks_the_commissions_once(order):
    one = draft_quote(commission=order.commission, on=TODAY, title="Third")
    with CaptureQueriesContext(connection) as asked:
        join_order(quote=order, one=one)
    locks = [q for q in asked if q["sql"].startswith('SELECT "quotes_commission"')]
    assert len(locks) == 1


def test_an_instrument_put_back_has_its_old_place_and_a_new_one_the_last(order, template):
    add_instrument(quote=order, on=TODAY, template=template, title="Third")
    walnut = order.further.get(title="Mandolin in walnut")
    leave_order(one=walnut)
    join_order(quote=order, one=Quote.objects.get(pk=walnut.pk))
    fresh = Quote.objects.get(pk=order.pk)
    assert [one.title for one in fresh.instruments[1:]] == ["Mandolin in walnut", "Third"]


def test_joining_says_whose_shipping_counts(order, desk):
    one = draft_quote(commission=order.commission, on=TODAY, title="Third")
    edit_quote(quote=order, shipping=Decimal(60))
    edit_quote(quote=one, shipping=Decimal(25))
    address = f"/quotes/{order.pk}/instruments/{one.pk}/join/"
    page = desk.post(address, follow=True).content.decode()
    assert "as set for the order: 60.00. Third had 25.00 of its own" in page


def test_one_as_the_first_is_priced_like_the_first_without_a_price_set_by_hand(template):
    """180.00, top 40.00 and 50 % 60.00, contingency 20 % 36.00: 276.00, up to the next 25: 300.00.

    The 350.00 that the first was set to by hand are its own.
    """
    first = make_quote(template=template, on=TODAY)
    edit_quote(
        quote=first,
        material_markup=Decimal("0.5"),
        contingency=Decimal("0.2"),
        price_step=Decimal(25),
    )
    assert sheet_now(first).price == Decimal(300)
    first.refresh_from_db()
    add_instrument(quote=first, on=TODAY, is_same=True, title="Second")
    assert sheet_now(second_of(first)).price == Decimal(300)
    leave_order(one=second_of(first))
    set_price(quote=first, amount=Decimal(350))
    same = add_instrument(quote=first, on=TODAY, is_same=True, title="Third")
    assert sheet_now(same).price == Decimal(300)
