"""What invoicing declines to do."""

from datetime import date

from inventory.base.refusals import Refusal
from quotes.models import Invoice


class ClockSetBack(Refusal):
    """An invoice would have a later number and an earlier day than another."""

    def __init__(self, later: Invoice, on: date) -> None:
        super().__init__(
            f"{later.number} was issued on {_day(later.issued_on)}, and today is {_day(on)} by "
            "this computer's clock: numbers and days would no longer run the same way. Set the "
            f"clock right, or credit {later.number} if its day is wrong, and issue this one then."
        )


def check_order(on: date) -> None:
    """Raise ClockSetBack where an invoice of the same year has a day after `on`.

    Each year has numbers of its own. What was credited doesn't count: that is the way out after a
    clock that ran ahead. Credit notes are never refused, so that the way out stays open.
    """
    later = Invoice.objects.filter(credits=None, credit_notes=None, issued_on__gt=on)
    last = later.filter(issued_on__year=on.year).defer("frozen").order_by("-issued_on").first()
    if last is not None:
        raise ClockSetBack(last, on)


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
