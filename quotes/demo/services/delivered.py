"""The demo workshop's delivered commission: worked, paid in foreign money, closed out."""

from decimal import Decimal

from django.contrib.auth.models import User

from inventory.models import Lot
from quotes.closing.services import close_out, record_expense
from quotes.demo.services.start import ELECTRIC, Days, begin
from quotes.invoicing.services.invoices import issue_invoice
from quotes.invoicing.services.payments import record_payment
from quotes.models import Client, Expense, Quote, QuoteExtra
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.issue import issue_quote
from quotes.quoting.services.rows import add_row
from shop.builds.queries.needs import needs_of
from shop.builds.services.end import finish_build
from shop.builds.services.stock import draw_for_build, scrap_for_build
from shop.hours.queries.work import Work
from shop.hours.services.entries import log_hours
from shop.models import Build

OFF_PLAN = (15, -30, 60, 45, 0, 90, -15, 30, 20, 75)
"""Minutes by which the stages of the closed build missed their plan, in turn."""


def order_that_was_delivered(lune: Client, days: Days) -> Quote:
    """A solid bouzouki of last spring: worked, drawn, one set lost, delivered, closed out."""
    on, then = days.ago(230)
    quote = edit_quote(
        quote=begin(lune, ELECTRIC, on, "Solid electric bouzouki for the harbour dances"),
        shipping=Decimal(140),
        currency="USD",
        exchange_rate=Decimal("1.14"),
        exchange_rate_on=on,
        client_step=Decimal(5),
    )
    add_row(
        quote=quote,
        of="extra",
        kind=QuoteExtra.Kind.OUTSIDE,
        name="Anchor plate plated by the plater in town",
        cost=Decimal(40),
        markup=Decimal("0.10"),
    )
    issued = issue_quote(quote=quote, on=on, now=then)
    later, at = days.ago(222)
    accepted = accept_quote(quote=issued, on=later, now=at, by="Lune Farthing-Quill")
    _work(accepted.build, days)
    _pay(accepted.quote, days)
    _note_expenses(accepted.build, days)
    ended, at = days.ago(95)
    finish_build(build=accepted.build, now=at)
    close_out(
        build=accepted.build,
        on=ended,
        now=at,
        charge_next_time=Decimal(3350),
        note_to_self="Rout the pockets from the template of 2025, and order two sets of heads.",
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
            fee=Decimal("13.50"),
            fee_currency=quote.currency,
        )


def _note_expenses(build: Build, days: Days) -> None:
    """Note what was really paid outside the shop: the plater took more, the carrier less."""
    paid = (
        (Expense.Kind.OUTSIDE, "Anchor plate plated", "46.50", 150),
        (Expense.Kind.SHIPPING, "Carrier, insured", "128.40", 96),
    )
    for kind, about, amount, ago in paid:
        record_expense(
            build=build,
            kind=kind,
            about=about,
            amount=Decimal(amount),
            paid_on=days.ago(ago)[0],
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
