"""The demo workshop's books: three invented clients and their commissions in several states."""

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from decimal import Decimal

from inventory.models import Lot, Material, Promise, Workshop
from inventory.shelf.services.rack import judge_piece
from inventory.shelf.services.records import record_price
from quotes.changes.services import offer_change, record_change_decision
from quotes.client_page.services.links import create_link
from quotes.clients.services import add_client, open_commission
from quotes.demo.services.dealer import order_of_the_dealer
from quotes.demo.services.delivered import order_that_was_delivered
from quotes.demo.services.policy import set_demo_policy
from quotes.demo.services.start import CARVED, ELECTRIC, GUITAR, Days, begin
from quotes.invoicing.services.invoices import issue_invoice
from quotes.invoicing.services.payments import record_payment
from quotes.links.services import record_link_read
from quotes.models import Client, LineTax, Quote
from quotes.pricing.services import add_tax_rate
from quotes.quoting.services.decide import accept_quote, decline_quote, expire_quotes
from quotes.quoting.services.draft import copy_quote, revise_quote
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.holds import hold_stock
from quotes.quoting.services.issue import issue_quote
from quotes.quoting.services.rows import add_row
from quotes.quoting.services.specification import SpecAsked, edit_specification
from shop.demo.services.load import COLOURS
from shop.models import BuildStage
from shop.patterns.calc import SpecRow

REDUCED = Decimal("0.09")
"""The rate of the invented shop for printed music."""


def fill_books(*, on: date, now: datetime) -> list[Quote]:
    """Add the policy, the clients and their quotes; return the quotes."""
    days = Days(now, on)
    set_demo_policy()
    add_tax_rate(name="reduced", since=date(on.year - 1, 1, 1), rate=REDUCED)
    osric = add_client(
        name="Osric Pondweed",
        email="osric@pondweed.example",
        address="3 Duck Row\nNether Puddle",
        country=Workshop.objects.get().country,
        note="Plays in the Thursday band; small hands, likes a slim neck.",
    )
    lune = add_client(
        name="Lune Farthing-Quill",
        kind=Client.Kind.PLAYER,
        email="lune@farthing-quill.example",
        address="17 Heron Steps\nFar Quay",
        country="US",
        currency="USD",
    )
    return [
        order_that_was_delivered(lune, days),
        _declined(lune, days),
        _lapsed_and_revised(osric, days),
        _accepted(osric, days),
        _lapsing(osric, days),
        order_of_the_dealer(days),
        _issued_abroad(lune, days),
        _draft(lune, days),
    ]


SETTLED = {
    "Nut width": "34",
    "String spacing at the bridge": "60",
    "Neck profile": "soft V",
    "Finish": "natural",
}


def _settle(quote: Quote, values: Mapping[str, str]) -> None:
    """Write what was settled with the client into the rows of a draft."""
    rows = [
        SpecAsked(
            name=row.name,
            value=values.get(row.name, row.value),
            unit=row.unit,
            choices=row.choices,
            is_asked=row.is_asked,
            material=row.material,
            option=row.option,
        )
        for row in quote.specs.select_related("material")
    ]
    edit_specification(quote=quote, rows=rows)


def _accepted(osric: Client, days: Days) -> Quote:
    on, then = days.ago(40)
    quote = edit_quote(
        quote=begin(osric, ELECTRIC, on),
        shipping=Decimal(60),
        specification="Volume and tone, no switch.",
    )
    _settle(quote, SETTLED)
    add_row(
        quote=quote,
        of="extra",
        name="Tune book for two bouzoukis, printed",
        cost=Decimal(24),
        tax_kind=LineTax.STANDARD,
        tax_rate=REDUCED,
    )
    issued = issue_quote(quote=quote, on=on, now=then)
    later, at = days.ago(33)
    accepted = accept_quote(quote=issued, on=later, now=at, by="Osric Pondweed").quote
    deposit = issue_invoice(quote=accepted, part=0, on=later)
    paid_on, at = days.ago(25)
    record_payment(client=osric, amount=Decimal(800), received_on=paid_on, now=at, invoice=deposit)
    change = offer_change(
        quote=accepted,
        title="Nut 35 mm wide",
        replaces=[SpecRow(name="Nut width", value="35", unit="mm")],
        price=Decimal(45),
        hours=Decimal("0.5"),
        before=BuildStage.objects.filter(build=accepted.build, name__icontains="nut").first(),
        days_added=1,
        on=days.ago(6)[0],
    )
    record_change_decision(change=change, agreed=True, by="Osric Pondweed", now=days.ago(5)[1])
    dearer = offer_change(
        quote=accepted,
        title="Engraved anchor plate",
        words="A pondweed engraved on the anchor plate, by an engraver in town.",
        cost=Decimal(110),
        days_added=10,
        on=days.ago(6)[0],
    )
    record_change_decision(change=dearer, agreed=False, by="Osric Pondweed", now=days.ago(5)[1])
    return accepted


def _issued_abroad(lune: Client, days: Days) -> Quote:
    on, then = days.ago(9)
    quote = edit_quote(
        quote=begin(lune, ELECTRIC, on, "Solid electric bouzouki for Far Quay"),
        shipping=Decimal(140),
        currency="USD",
        exchange_rate=Decimal("1.17"),
        exchange_rate_on=on,
        client_step=Decimal(5),
        offered=["Second pickup and blend", "Carved cap", *COLOURS],
    )
    return issue_quote(quote=quote, on=on, now=then)


def _lapsing(osric: Client, days: Days) -> Quote:
    on, then = days.ago(26)
    quote = begin(osric, CARVED, on, "Carved bouzouki with a sunburst")
    add_row(quote=quote, of="extra", name="Sunburst", cost=Decimal(180))
    issued = issue_quote(quote=edit_quote(quote=quote, shipping=Decimal(60)), on=on, now=then)
    held_from, at = days.ago(5)
    hold_stock(
        quote=issued,
        until=days.today + timedelta(days=2),
        on=held_from,
        now=at,
        chosen=_better_top(issued),
    )
    _lose_a_rib_pair(issued, days)
    return issued


def _lose_a_rib_pair(quote: Quote, days: Days) -> None:
    """What was put aside for a quote on hold turned out to be no good."""
    row = quote.materials.get(name="Ribs, matching maple")
    held = Promise.objects.get(holder=quote.holder, line=row.hold_key)
    if held.lot:
        why = "a knot by the end, seen as the rack was tidied"
        judge_piece(lot=held.lot, verdict="rejected", why=why, now=days.ago(1)[1])


def _better_top(quote: Quote) -> dict[int, Lot | None]:
    """The client picked a top of another spruce than was planned."""
    row = quote.materials.get(name="Top, spruce wedge pair (bookmatch)")
    return {row.pk: Lot.objects.filter(material__name="Red spruce top, bouzouki").first()}


def _declined(lune: Client, days: Days) -> Quote:
    on, then = days.ago(80)
    quote = edit_quote(
        quote=begin(lune, GUITAR, on, "Small-bodied guitar"),
        currency="USD",
        exchange_rate=Decimal("1.15"),
        exchange_rate_on=on,
        client_step=Decimal(5),
    )
    issued = issue_quote(quote=quote, on=on, now=then)
    _, later = days.ago(70)
    return decline_quote(
        quote=issued, now=later, by="Lune Farthing-Quill", reason="Wants a bouzouki after all."
    )


def _lapsed_and_revised(osric: Client, days: Days) -> Quote:
    on, then = days.ago(75)
    quote = begin(osric, GUITAR, on, "Guitar for the younger Pondweed")
    issued = issue_quote(quote=quote, on=on, now=then)
    lapsed_on, at = days.ago(40)
    expire_quotes(on=lapsed_on, now=at)
    tuners = Material.objects.get(name="Tuners, 3+3, guitar")
    dearer = (tuners.replacement_price or Decimal(0)) + 9
    record_price(material=tuners, price=dearer, on=lapsed_on)
    return revise_quote(quote=issued, on=days.today)


def _draft(lune: Client, days: Days) -> Quote:
    on, _ = days.ago(2)
    last = Quote.objects.filter(template__name=CARVED).first()
    commission = open_commission(client=lune, title="Cittern with a carved top", asked_on=on)
    if last is None:
        return begin(lune, CARVED, on)
    copy = copy_quote(quote=last, commission=commission, on=on, title="Cittern with a carved top")
    return edit_quote(
        quote=copy,
        exchange_rate=Decimal("1.17"),
        exchange_rate_on=on,
        client_step=Decimal(5),
        shipping=Decimal(140),
    )


def link_to(quote: Quote, *, on: date, now: datetime) -> str:
    """Return the secret of a link to `quote` that was made with it and read the day after."""
    days = Days(now, on)
    made_on, made_at = days.ago(9)
    made = create_link(quote=quote, expires_on=quote.valid_until or on, on=made_on, now=made_at)
    record_link_read(link=made.link, now=days.ago(8)[1])
    return made.secret
