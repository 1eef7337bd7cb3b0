"""A commission from first talk to last payment."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Prefetch

from quotes.models import Commission, Invoice, Payment, Quote
from quotes.queries.changes import ChangeStanding, standings_of
from quotes.queries.invoices import PartToInvoice, parts_of
from quotes.queries.quote_list import QuoteStanding, quotes_in, standings


@dataclass(frozen=True, slots=True, kw_only=True)
class CommissionPage:
    """Everything that a commission's page shows; parts are there once a quote was accepted."""

    commission: Commission
    quotes: list[QuoteStanding]
    accepted: Quote | None
    parts: list[PartToInvoice]
    changes: list[ChangeStanding]
    invoices: list[Invoice]
    payments: list[Payment]

    @property
    def asked(self) -> Decimal:
        """What all invoices less credit notes ask for, in the client's money."""
        return sum((invoice.gross for invoice in self.invoices), Decimal(0))

    @property
    def paid(self) -> Decimal:
        """What came in for this commission, in the client's money."""
        return sum((payment.amount for payment in self.payments), Decimal(0))

    @property
    def owed(self) -> Decimal:
        """What is asked for and not paid; below 0 it is the client's."""
        return self.asked - self.paid

    @property
    def too_much(self) -> Decimal:
        """What came in beyond what is asked for."""
        return max(self.paid - self.asked, Decimal(0))

    @property
    def currency(self) -> str:
        """The money that the client pays in."""
        return self.accepted.currency if self.accepted else ""


def commission_page(pk: int, on: date) -> CommissionPage:
    """Gather a commission's page. Raises Commission.DoesNotExist."""
    commissions = Commission.objects.select_related("client").prefetch_related(
        "changes",
        "invoices__credits",
        Prefetch("payments", Payment.objects.select_related("invoice", "countered_by")),
    )
    commission = commissions.get(pk=pk)
    quotes = standings(quotes_in("all").filter(commission=commission), on)
    accepted = next((row.quote for row in quotes if row.quote.state == Quote.State.ACCEPTED), None)
    return CommissionPage(
        commission=commission,
        quotes=quotes,
        accepted=accepted,
        parts=parts_of(accepted, on) if accepted else [],
        changes=standings_of(commission.changes.all(), [commission.client], on),
        invoices=list(commission.invoices.all()),
        payments=list(commission.payments.all()),
    )
