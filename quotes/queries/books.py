"""The books today: who owes what, what can be invoiced, what came in last."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import OuterRef, Q, Subquery, Sum

from quotes.models import Change, Invoice, Payment, Quote
from quotes.queries.invoices import ClientAccount, ages_of, owed_on

LAST_PAYMENTS = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class NextPart:
    """The next part of an accepted price that no invoice asks for yet."""

    quote: Quote
    place: int
    name: str
    amount: Decimal


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
    changes: list[Change]
    payments: list[Payment]


def books_on(on: date) -> Books:
    """Gather the books of a day, in a fixed number of queries."""
    accounts = owed_on(on)
    open_ones = [account for account in accounts if account.account.balance]
    currencies = dict.fromkeys(account.currency for account in open_ones)
    return Books(
        accounts=open_ones,
        ages=[_ages(open_ones, currency) for currency in currencies],
        to_invoice=_to_invoice(),
        changes=_changes_to_invoice(),
        payments=list(
            Payment.objects.select_related("client", "invoice", "commission", "countered_by")[
                :LAST_PAYMENTS
            ]
        ),
    )


def _ages(accounts: list[ClientAccount], currency: str) -> CurrencyAges:
    ages = ages_of(accounts, currency)
    return CurrencyAges(currency=currency, owed=sum(ages.values(), Decimal(0)), ages=ages)


def _changes_to_invoice() -> list[Change]:
    """Agreed changes that are billed and that no invoice asks for yet."""
    agreed = Change.objects.filter(state=Change.State.AGREED, is_billed=True).exclude(price=0)
    asked = Invoice.objects.filter(change=OuterRef("pk")).values("change")
    net = asked.annotate(sum=Sum("gross")).values("sum")
    rows = agreed.annotate(asked=Subquery(net)).filter(Q(asked=None) | Q(asked=0))
    return list(rows.select_related("quote__commission__client").order_by("pk"))


def _to_invoice() -> list[NextPart]:
    """The first part of each accepted quote that has no standing invoice."""
    quotes = Quote.objects.filter(state=Quote.State.ACCEPTED).select_related("commission__client")
    invoiced = _invoiced_places()
    found = []
    for quote in quotes.order_by("-decided_at"):
        parts = quote.frozen["offer"]["parts"] if quote.frozen else []
        taken = invoiced.get(quote.pk, set())
        place = next((n for n in range(len(parts)) if n not in taken), None)
        if place is not None:
            part = parts[place]
            found.append(
                NextPart(
                    quote=quote, place=place, name=part["name"], amount=Decimal(part["amount"])
                )
            )
    return found


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
