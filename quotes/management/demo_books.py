"""The demo workshop's books: two invented clients and their commissions in several states."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.contrib.auth.models import User

from inventory.models import Lot, Material, Workshop
from inventory.services.note_price import note_price
from quotes.management.demo_policy import set_demo_policy
from quotes.models import Client, Quote
from quotes.services.accept_quote import accept_quote
from quotes.services.add_client import add_client
from quotes.services.add_row import add_row
from quotes.services.change_quote import change_quote
from quotes.services.close_out import close_out
from quotes.services.copy_quote import copy_quote
from quotes.services.create_link import create_link
from quotes.services.decide_change import decide_change
from quotes.services.decline_quote import decline_quote
from quotes.services.draft_quote import draft_quote
from quotes.services.hold_stock import hold_stock
from quotes.services.issue_invoice import issue_invoice
from quotes.services.issue_quote import issue_quote
from quotes.services.lapse_quotes import lapse_quotes
from quotes.services.note_link_read import note_link_read
from quotes.services.offer_change import offer_change
from quotes.services.open_commission import open_commission
from quotes.services.record_payment import record_payment
from quotes.services.revise_quote import revise_quote
from shop.models import Build, BuildTemplate
from shop.queries.needs import needs_of
from shop.services.draw_for_build import draw_for_build
from shop.services.finish_build import finish_build
from shop.services.log_hours import log_hours
from shop.services.scrap_for_build import scrap_for_build
from shop.sharing import Work

OFF_PLAN = (15, -30, 60, 45, 0, 90, -15, 30, 20, 75)
"""Minutes by which the stages of the closed build missed their plan, in turn."""

ELECTRIC = "Chambered electric mandolin"
CARVED = "Carved-top mandolin"
GUITAR = "Flat-top guitar"


@dataclass(frozen=True, slots=True)
class Days:
    """Days of the demo, counted back from the day it is loaded."""

    now: datetime
    today: date

    def ago(self, days: int) -> tuple[date, datetime]:
        """Return the day and the instant `days` ago."""
        return self.today - timedelta(days=days), self.now - timedelta(days=days)


def fill_books(*, on: date, now: datetime) -> list[Quote]:
    """Add the policy, the clients and their quotes; return the quotes."""
    days = Days(now, on)
    set_demo_policy()
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
        _closed(lune, days),
        _declined(lune, days),
        _lapsed_and_revised(osric, days),
        _accepted(osric, days),
        _lapsing(osric, days),
        _issued_abroad(lune, days),
        _draft(lune, days),
    ]


def _begin(client: Client, template: str, asked: date, title: str = "") -> Quote:
    pattern = BuildTemplate.objects.get(name=template)
    commission = open_commission(client=client, title=title or template, asked_on=asked)
    return draft_quote(commission=commission, template=pattern, on=asked, title=title)


def _accepted(osric: Client, days: Days) -> Quote:
    on, then = days.ago(40)
    quote = change_quote(
        quote=_begin(osric, ELECTRIC, on),
        shipping=Decimal(60),
        specification=(
            "Chambered body in light hardwood, figured cap, natural finish.\n"
            "Scale 350 mm, nut 30 mm, slim neck.\nOne magnetic pickup, volume and tone."
        ),
    )
    issued = issue_quote(quote=quote, on=on, now=then)
    later, at = days.ago(33)
    accepted = accept_quote(quote=issued, on=later, now=at, by="Osric Pondweed").quote
    deposit = issue_invoice(quote=accepted, part=0, on=later)
    paid_on, at = days.ago(25)
    record_payment(client=osric, amount=Decimal(800), received_on=paid_on, now=at, invoice=deposit)
    change = offer_change(
        quote=accepted,
        title="Nut 31 mm wide",
        words="Nut 31 mm instead of 30 mm.",
        price=Decimal(45),
        hours=Decimal("0.5"),
        days_added=1,
        on=days.ago(6)[0],
    )
    decide_change(change=change, agreed=True, by="Osric Pondweed", now=days.ago(5)[1])
    return accepted


def _issued_abroad(lune: Client, days: Days) -> Quote:
    on, then = days.ago(9)
    quote = change_quote(
        quote=_begin(lune, ELECTRIC, on, "Chambered electric mandolin in walnut"),
        shipping=Decimal(140),
        currency="USD",
        exchange_rate=Decimal("1.17"),
        exchange_rate_on=on,
        client_step=Decimal(5),
        offered=["Under-saddle transducer and blend", "Carved cap"],
    )
    return issue_quote(quote=quote, on=on, now=then)


def _lapsing(osric: Client, days: Days) -> Quote:
    on, then = days.ago(26)
    quote = _begin(osric, CARVED, on, "Carved mandolin with a sunburst")
    add_row(quote=quote, of="extra", name="Sunburst", cost=Decimal(180))
    issued = issue_quote(quote=change_quote(quote=quote, shipping=Decimal(60)), on=on, now=then)
    held_from, at = days.ago(5)
    hold_stock(quote=issued, until=days.today + timedelta(days=2), on=held_from, now=at)
    return issued


def _declined(lune: Client, days: Days) -> Quote:
    on, then = days.ago(80)
    quote = change_quote(
        quote=_begin(lune, GUITAR, on, "Small-bodied guitar"),
        currency="USD",
        exchange_rate=Decimal("1.15"),
        exchange_rate_on=on,
        client_step=Decimal(5),
    )
    issued = issue_quote(quote=quote, on=on, now=then)
    _, later = days.ago(70)
    return decline_quote(
        quote=issued, now=later, by="Lune Farthing-Quill", reason="Wants a mandolin after all."
    )


def _lapsed_and_revised(osric: Client, days: Days) -> Quote:
    on, then = days.ago(75)
    quote = _begin(osric, GUITAR, on, "Guitar for the younger Pondweed")
    issued = issue_quote(quote=quote, on=on, now=then)
    lapsed_on, at = days.ago(40)
    lapse_quotes(on=lapsed_on, now=at)
    tuners = Material.objects.get(name="Tuners, 3+3, guitar")
    dearer = (tuners.replacement_price or Decimal(0)) + 9
    note_price(material=tuners, price=dearer, on=lapsed_on)
    return revise_quote(quote=issued, on=days.today)


def _draft(lune: Client, days: Days) -> Quote:
    on, _ = days.ago(2)
    last = Quote.objects.filter(template__name=CARVED).first()
    commission = open_commission(client=lune, title="Second carved mandolin", asked_on=on)
    if last is None:
        return _begin(lune, CARVED, on)
    copy = copy_quote(quote=last, commission=commission, on=on, title="Second carved mandolin")
    return change_quote(
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
    note_link_read(link=made.link, now=days.ago(8)[1])
    return made.secret


def _closed(lune: Client, days: Days) -> Quote:
    """An electric mandolin of last spring: worked, drawn, one set lost, delivered, closed out."""
    on, then = days.ago(230)
    quote = change_quote(
        quote=_begin(lune, ELECTRIC, on, "Electric mandolin in cherry"),
        shipping=Decimal(140),
        currency="USD",
        exchange_rate=Decimal("1.14"),
        exchange_rate_on=on,
        client_step=Decimal(5),
    )
    issued = issue_quote(quote=quote, on=on, now=then)
    later, at = days.ago(222)
    accepted = accept_quote(quote=issued, on=later, now=at, by="Lune Farthing-Quill")
    _work(accepted.build, days)
    _pay(accepted.quote, days)
    ended, at = days.ago(95)
    finish_build(build=accepted.build, now=at)
    close_out(
        build=accepted.build,
        on=ended,
        now=at,
        charge_next_time=Decimal(3350),
        note_to_self="Rout the chambers from the template of 2025, and order two sets of heads.",
    )
    return accepted.quote


def _pay(quote: Quote, days: Days) -> None:
    """Invoice and pay the three parts, each at the rate of its own day."""
    paid = ((220, "1.14"), (160, "1.16"), (98, "1.11"))
    for part, (ago, rate) in enumerate(paid):
        invoice = issue_invoice(quote=quote, part=part, on=days.ago(ago + 5)[0])
        on, at = days.ago(ago)
        record_payment(
            client=quote.commission.client,
            amount=invoice.gross,
            received_on=on,
            now=at,
            invoice=invoice,
            exchange_rate=Decimal(rate),
            fee=Decimal(12),
        )


def _work(build: Build, days: Days) -> None:
    """Log every stage a little off its plan and draw what was put aside; one piece is lost."""
    person = User.objects.order_by("pk").first()
    stages = list(build.stages.all())
    for place, stage in enumerate(stages):
        day, at = days.ago(215 - place * 7)
        minutes = int(stage.hours_planned * 60) + OFF_PLAN[place % len(OFF_PLAN)]
        work = [Work(build=build, stage=stage)]
        log_hours(person=person, day=day, minutes=max(minutes, 15), now=at, work=work)
    _, at = days.ago(200)
    for need in needs_of([build]):
        if need.promised > 0:
            draw_for_build(build=build, line=need.line, quantity=need.promised, now=at)
    spare = Lot.objects.filter(remaining__gte=1, piece__isnull=False).exclude(
        promises__outstanding__gt=0
    )
    if lost := spare.first():
        scrap_for_build(
            build=build,
            material=lost.material,
            lot=lost,
            quantity=Decimal(1),
            why="split while thicknessing",
            now=at,
        )
