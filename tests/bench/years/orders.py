"""Orders delivered before the rows are multiplied: one of each pattern, by the program's services.

The demo has one whole order, of a solid bouzouki. These are its like for the other patterns,
so that what is multiplied has every paper, hour and draw of a commission from asking to paying.
"""

from decimal import Decimal
from unittest.mock import patch

from django.contrib.auth.models import User

from quotes.closing.services import close_out
from quotes.demo.services.start import CARVED, GUITAR, Days, begin
from quotes.invoicing.services.invoices import issue_invoice
from quotes.invoicing.services.payments import record_payment
from quotes.models import Client, Quote
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.holds import release_hold
from quotes.quoting.services.issue import issue_quote
from shop.builds.queries.needs import needs_of
from shop.builds.services.end import finish_build
from shop.builds.services.stock import draw_for_build
from shop.hours.bookkeeping import Work
from shop.hours.services.entries import log_hours
from shop.models import Build

ASKED, AGREED, DRAWN, DONE = 240, 230, 210, 100
OFF_PLAN = (20, -25, 45, 0, 70, -40, 15, 95, -10, 35)
"""Minutes by which stages missed their plan, in turn."""


def deliver_orders(days: Days) -> list[Quote]:
    """Deliver a carved bouzouki and a guitar to the client who pays in home money."""
    osric = Client.objects.get(name="Osric Pondweed")
    for held in Quote.objects.filter(held_until__isnull=False):  # it has what they are to draw
        release_hold(quote=held, now=days.now)
    # They come after newer invoices of the demo: a past that is made up, not a clock set back.
    with patch("quotes.invoicing.services.invoices.check_order"):
        return [_delivered(osric, pattern, days) for pattern in (CARVED, GUITAR)]


def _delivered(client: Client, pattern: str, days: Days) -> Quote:
    on, at = days.ago(ASKED)
    issued = issue_quote(quote=begin(client, pattern, on), on=on, now=at)
    on, at = days.ago(AGREED)
    accepted = accept_quote(quote=issued, on=on, now=at, by=client.name)
    _work(accepted.build, days)
    for part, ago in enumerate((AGREED, DRAWN - 50, DONE)):
        on, at = days.ago(ago)
        invoice = issue_invoice(quote=accepted.quote, part=part, on=on)
        record_payment(client=client, amount=invoice.gross, received_on=on, now=at, invoice=invoice)
    on, at = days.ago(DONE)
    finish_build(build=accepted.build, now=at)
    close_out(build=accepted.build, on=on, now=at)
    return accepted.quote


def _work(build: Build, days: Days) -> None:
    person = User.objects.order_by("pk").first()
    for place, stage in enumerate(build.stages.all()):
        day, at = days.ago(DRAWN - place * 5)
        minutes = int(stage.hours_planned * 60) + OFF_PLAN[place % len(OFF_PLAN)]
        work = [Work(build=build, stage=stage)]
        log_hours(person=person, day=day, minutes=max(minutes, 15), now=at, work=work)
    _, at = days.ago(DRAWN)
    for need in needs_of([build]):
        if (wanted := need.promised or Decimal(0)) > 0:
            draw_for_build(build=build, line=need.line, quantity=wanted, now=at)
