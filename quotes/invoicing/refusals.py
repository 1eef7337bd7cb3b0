"""What invoicing declines to do."""

from datetime import date

from quotes.base.refusals import ClockSetBack
from quotes.models import Invoice


def check_order(on: date) -> None:
    """Raise ClockSetBack where an invoice of the same year has a day after `on`.

    Each year has numbers of its own. What was credited doesn't count: that is the way out after a
    clock that ran ahead. Credit notes are never refused, so that the way out stays open.
    """
    later = Invoice.objects.filter(credits=None, credit_notes=None, issued_on__gt=on)
    last = later.filter(issued_on__year=on.year).defer("frozen").order_by("-issued_on").first()
    if last is not None:
        raise ClockSetBack(
            last.number,
            last.issued_on,
            on,
            so="numbers and days would no longer run the same way",
            or_else=f"credit {last.number} if its day is wrong, and issue this one then",
        )
