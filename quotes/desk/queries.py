"""What several rooms say together: the books, a commission, the first steps, today."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.db.models import OuterRef, Prefetch, Q, Subquery, Sum
from django.db.models.fields.json import KeyTransform

from inventory.models import Material
from quotes.changes.queries import ChangeStanding, standings_of
from quotes.invoicing.queries.invoices import (
    ClientAccount,
    OwedInvoice,
    PartToInvoice,
    ages_of,
    owed_on,
    parts_of,
    with_counter_payments,
)
from quotes.models import (
    Change,
    Client,
    ClientMessage,
    Commission,
    Invoice,
    Payment,
    PricingPolicy,
    Quote,
)
from quotes.pricing.calc.offer import read_parts
from quotes.pricing.queries.taxing import taxed_change
from quotes.quoting.queries.holds import held_by, lost_of
from quotes.quoting.queries.quote_list import (
    SOON_DAYS,
    QuoteStanding,
    quotes_in,
    standing_of,
    standings,
)
from shop.models import FINISHED_STATES, Build, BuildTemplate, Device

LAST_PAYMENTS = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class NextPart:
    """The next part of an accepted price that no invoice asks for yet."""

    quote: Quote
    place: int
    name: str
    amount: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeToInvoice:
    """An agreed change that no invoice asks for yet, with its gross."""

    change: Change
    gross: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrencyAges:
    """What is owed in one currency, by how late it is."""

    currency: str
    owed: Decimal
    ages: dict[str, Decimal]


@dataclass(frozen=True, slots=True, kw_only=True)
class Books:
    """What the books page shows for a day."""

    accounts: list[ClientAccount]
    ages: list[CurrencyAges]
    to_invoice: list[NextPart]
    changes: list[ChangeToInvoice]
    payments: list[Payment]


def books_on(on: date) -> Books:
    """Gather the books of a day, in a fixed number of queries."""
    open_ones = [account for account in owed_on(on) if account.account.balance]
    currencies = dict.fromkeys(account.currency for account in open_ones)
    return Books(
        accounts=open_ones,
        ages=[_ages(open_ones, currency) for currency in currencies],
        to_invoice=_to_invoice(),
        changes=_changes_to_invoice(),
        payments=_latest_payments(),
    )


def _latest_payments() -> list[Payment]:
    rows = with_counter_payments(Payment.objects.select_related("client", "invoice", "commission"))
    return list(rows.defer("frozen", "invoice__frozen")[:LAST_PAYMENTS])


def _ages(accounts: list[ClientAccount], currency: str) -> CurrencyAges:
    ages = ages_of(accounts, currency)
    return CurrencyAges(currency=currency, owed=sum(ages.values(), Decimal(0)), ages=ages)


def _changes_to_invoice() -> list[ChangeToInvoice]:
    """Agreed changes that are billed and that no invoice asks for yet."""
    agreed = Change.objects.filter(
        state=Change.State.AGREED, is_billed=True, quote__state=Quote.State.ACCEPTED
    ).exclude(price=0)
    asked = Invoice.objects.filter(change=OuterRef("pk")).values("change")
    net = asked.annotate(sum=Sum("gross")).values("sum")
    rows = agreed.annotate(asked=Subquery(net)).filter(Q(asked=None) | Q(asked=0))
    named = rows.select_related("quote__commission__client").defer("frozen", "quote__frozen")
    return [
        ChangeToInvoice(change=change, gross=taxed_change(change).due)
        for change in named.order_by("pk")
    ]


def _to_invoice() -> list[NextPart]:
    """The first part of each accepted quote that has no standing invoice.

    How many parts a price has is read from its terms; only prices with one left are opened.
    """
    accepted = Quote.offers.filter(state=Quote.State.ACCEPTED)
    invoiced = _invoiced_places()
    places = {
        pk: place
        for pk, terms in accepted.order_by().values_list("pk", "parts")
        if (place := _next_place(len(read_parts(terms)), invoiced.get(pk, set()))) is not None
    }
    quotes = accepted.select_related("commission__client").defer("frozen")
    opened = quotes.annotate(sent_parts=KeyTransform("parts", KeyTransform("offer", "frozen")))
    left = opened.filter(pk__in=places).order_by("-decided_at")
    return [
        NextPart(quote=quote, place=place, name=part["name"], amount=Decimal(part["amount"]))
        for quote in left
        if (place := places[quote.pk]) < len(parts := quote.sent_parts or [])
        for part in [parts[place]]
    ]


def _next_place(parts: int, taken: set[int]) -> int | None:
    return next((place for place in range(parts) if place not in taken), None)


def _invoiced_places() -> dict[int, set[int]]:
    credited: dict[int, Decimal] = {}
    rows = list(Invoice.objects.values_list("pk", "quote", "part", "gross", "credits"))
    for _, _, _, gross, credits in rows:
        if credits:
            credited[credits] = credited.get(credits, Decimal(0)) + gross
    places: dict[int, set[int]] = {}
    for pk, quote, part, gross, credits in rows:
        if quote and part is not None and not credits and gross + credited.get(pk, 0) > 0:
            places.setdefault(quote, set()).add(part)
    return places


@dataclass(frozen=True, slots=True, kw_only=True)
class CommissionPage:
    """Everything that a commission's page shows; parts are there once a quote was accepted.

    `agreed` is that quote, also after it was cancelled.
    """

    commission: Commission
    quotes: list[QuoteStanding]
    accepted: Quote | None
    agreed: Quote | None
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
        return self.agreed.currency if self.agreed else ""


def commission_page(pk: int, on: date) -> CommissionPage:
    """Gather a commission's page. Raises Commission.DoesNotExist."""
    commissions = Commission.objects.select_related("client").prefetch_related(
        "changes",
        "invoices__credits",
        Prefetch("payments", with_counter_payments(Payment.objects.select_related("invoice"))),
    )
    commission = commissions.get(pk=pk)
    quotes = standings(quotes_in("all").filter(commission=commission), on)
    accepted = next((row.quote for row in quotes if row.quote.state == Quote.State.ACCEPTED), None)
    ended = next((row.quote for row in quotes if row.quote.state == Quote.State.CANCELLED), None)
    return CommissionPage(
        commission=commission,
        quotes=quotes,
        accepted=accepted,
        agreed=accepted or ended,
        parts=parts_of(accepted, on) if accepted else [],
        changes=standings_of(commission.changes.all(), [commission.client], on),
        invoices=list(commission.invoices.all()),
        payments=list(commission.payments.all()),
    )


@dataclass(frozen=True, slots=True)
class FirstStep:
    """One step: what to do, why, whether it is done, and the name and key of its page."""

    words: str
    why: str
    is_done: bool
    page: str
    key: int | None = None


def first_steps() -> list[FirstStep]:
    """Return the steps in order; nothing when all are done, or once a build was finished here.

    Seven queries at most.
    """
    if Build.objects.filter(state__in=FINISHED_STATES).exists():
        return []
    has_client = Client.objects.exists()
    starter = BuildTemplate.objects.filter(is_archived=False).order_by("-is_starter", "name")
    pattern = starter.values_list("pk", flat=True).first()
    steps = [
        FirstStep(
            "Set your prices",
            "Shop rate, markup, deposit and tax. Every quote starts from them.",
            PricingPolicy.objects.exists(),
            "pricing_policy",
        ),
        FirstStep(
            "Stock your materials",
            "All of a template's at once, or one by one. You can correct prices later.",
            Material.objects.exists(),
            "template_stock" if pattern else "new_material",
            pattern,
        ),
        FirstStep(
            "Make a template your own",
            "Copy a starter, or enter your own figures in it and mark them as yours.",
            BuildTemplate.objects.filter(is_starter=False).exists(),
            "templates",
        ),
        FirstStep(
            "Quote a commission",
            "Add the client, then draft the quote. Nothing is sent until you issue it.",
            Quote.objects.exists(),
            "quote_new" if has_client else "client_new",
        ),
        FirstStep(
            "Pair a phone",
            "For the clock, draws and counts at the bench.",
            Device.objects.exists(),
            "devices",
        ),
    ]
    return [] if all(step.is_done for step in steps) else steps


MOST = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class TodaysBooks:
    """Lists that are empty where nothing needs a hand; what is due first stands first."""

    said: list[ClientMessage]
    lost: list[tuple[Quote, str]]
    lapsing: list[QuoteStanding]
    due: list[tuple[ClientAccount, OwedInvoice]]


def todays_books(on: date) -> TodaysBooks:
    """Return what of the books needs a hand on the day, in seven queries however long the books.

    Three more where stock is held for a quote.
    """
    said = ClientMessage.objects.filter(seen_at=None).select_related(
        "quote__commission__client", "change"
    )
    return TodaysBooks(said=list(said[:MOST]), lost=_lost(on), lapsing=_lapsing(on), due=_due(on))


def _lost(on: date) -> list[tuple[Quote, str]]:
    """Return the quotes that lost what was held for them, each with what has gone."""
    rows = Quote.objects.filter(held_until__gte=on).select_related("commission__client")
    rows = rows.defer("frozen")
    quotes = list(rows.order_by("pk"))
    held = held_by(quotes)
    lost = [(quote, lost_of(held.get(quote.pk, ()))) for quote in quotes]
    return [(quote, words) for quote, words in lost if words][:MOST]


def _lapsing(on: date) -> list[QuoteStanding]:
    last = on + timedelta(days=SOON_DAYS)
    quotes = Quote.offers.filter(state=Quote.State.ISSUED, valid_until__range=(on, last))
    quotes = quotes.select_related("commission__client", "build").defer("frozen")
    quotes = quotes.order_by("valid_until", "pk")
    return [standing_of(quote, on, gross=quote.gross) for quote in quotes[:MOST]]


def _due(on: date) -> list[tuple[ClientAccount, OwedInvoice]]:
    """Return the invoices that are due by the day, those late longest first."""
    due = [
        (account, one)
        for account in owed_on(on)
        for one in account.invoices
        if one.invoice.due_on <= on
    ]
    return sorted(due, key=lambda pair: pair[1].invoice.due_on)[:MOST]
