"""How the demo workshop's quotes begin, and its days counted back from today."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from quotes.clients.services import open_commission
from quotes.models import Client, Quote
from quotes.quoting.services.draft import draft_quote
from shop.models import BuildTemplate

ELECTRIC = "Solid electric bouzouki"
CARVED = "Carved-top bouzouki"
GUITAR = "Flat-top guitar"


@dataclass(frozen=True, slots=True)
class Days:
    """Days of the demo, counted back from the day it is loaded."""

    now: datetime
    today: date

    def ago(self, days: int) -> tuple[date, datetime]:
        """Return the day and the instant `days` ago."""
        return self.today - timedelta(days=days), self.now - timedelta(days=days)


def begin(client: Client, template: str, asked: date, title: str = "") -> Quote:
    """Return the draft of a commission that a client asked for."""
    pattern = BuildTemplate.objects.get(name=template)
    commission = open_commission(client=client, title=title or template, asked_on=asked)
    return draft_quote(commission=commission, template=pattern, on=asked, title=title)
