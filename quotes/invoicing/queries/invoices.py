"""Invoices: what was asked for, what was credited, what is still owed."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Prefetch, QuerySet, Sum

from quotes.invoicing.calc import owed
from quotes.models import Change, Client, Invoice, Payment, Quote
from quotes.pricing.calc.offer import Offer
from quotes.pricing.queries.offer import offer_of

NOTHING = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class OwedInvoice:
    """An invoice that is not settled on the day."""

    invoice: Invoice
    owed: Decimal
    days_late: int

    @property
    def late_words(self) -> str:
        """How late it is."""
        return "1 day late" if self.days_late == 1 else f"{self.days_late} days late"


@dataclass(frozen=True, slots=True, kw_only=True)
class ClientAccount:
    """One client's account in one currency on the day."""

    client: Client
    currency: str
    account: owed.Account
    invoices: tuple[OwedInvoice, ...]

    @property
    def credit(self) -> Decimal:
        """What is the client's own: on account, or paid too much."""
        return self.account.on_account + self.account.over_paid


@dataclass(frozen=True, slots=True, kw_only=True)
class PartToInvoice:
    """A part of an accepted price with its invoice, if there is one."""

    place: int
    name: str
    amount: Decimal
    invoice: Invoice | None


def standing_invoices(quote: Quote) -> QuerySet[Invoice]:
    """Invoices of a quote that no credit note took back as a whole."""
    sent = Invoice.objects.filter(quote=quote).exclude(kind=Invoice.Kind.CREDIT).defer("frozen")
    return sent.exclude(pk__in=_credited_in_full(quote))


def _credited_in_full(quote: Quote) -> list[int]:
    credited = (
        Invoice.objects.filter(quote=quote, kind=Invoice.Kind.CREDIT)
        .order_by()
        .values_list("credits", "credits__gross")
        .annotate(back=Sum("gross"))
    )
    return [pk for pk, gross, back in credited if gross is not None and gross + back <= 0]


def invoiced_parts(quote: Quote) -> set[int]:
    """The places of the parts that are invoiced and not taken back."""
    return {
        part for part in standing_invoices(quote).values_list("part", flat=True) if part is not None
    }


def is_invoiced(change: Change) -> bool:
    """Say whether a change is invoiced and not taken back."""
    return standing_invoices(change.quote).filter(change=change).exists()


def parts_of(quote: Quote, on: date) -> list[PartToInvoice]:
    """The parts of an accepted quote's price, each with its invoice."""
    offer: Offer = offer_of(quote, on=on)
    by_place = {invoice.part: invoice for invoice in standing_invoices(quote)}
    return [
        PartToInvoice(place=place, name=part.name, amount=part.amount, invoice=by_place.get(place))
        for place, part in enumerate(offer.parts)
    ]


def credit_left(invoice: Invoice) -> Decimal:
    """What of an invoice no credit note has taken back, gross."""
    back = invoice.credit_notes.aggregate(back=Sum("gross"))["back"] or NOTHING
    return invoice.gross + back


def still_open(invoice: Invoice) -> Decimal:
    """What of an invoice is neither paid nor taken back; below 0 what was paid too much."""
    paid = invoice.payments.aggregate(paid=Sum("amount"))["paid"] or NOTHING
    return credit_left(invoice) - paid


def owed_on(on: date, *clients: Client) -> list[ClientAccount]:
    """Accounts on the day, the latest first: of some clients, or else all that are not even.

    Four queries for all, two for some; none of them reads a paper. A client who pays in two
    currencies has two accounts.
    """
    # Twenty years of even accounts are not read to find the few that are not.
    keys = [client.pk for client in clients] if clients else _clients_not_even(on)
    sent = Invoice.objects.select_related("commission__client", "credits")
    sent = sent.defer("frozen", "credits__frozen").filter(commission__client__in=keys)
    payments = Payment.objects.select_related("client", "invoice")
    payments = payments.defer("frozen", "invoice__frozen").filter(client__in=keys)
    invoices = list(sent)
    accounts = owed.accounts_on(map(_bill, invoices), map(_payment, payments), on)
    named = {row.commission.client_id: row.commission.client for row in invoices}
    named |= {row.client_id: row.client for row in payments}
    by_number = {invoice.number: invoice for invoice in invoices}
    found = [_client_account(account, named, by_number) for account in accounts]
    return [one for one in found if clients or one.invoices or one.credit]


def _clients_not_even(on: date) -> set[int]:
    """Clients with an invoice that is not settled, money that settles none, or either dated later.

    What is dated after the day settles nothing yet, so that such clients are looked at too.
    """
    invoices = Invoice.objects.order_by().values_list("commission__client", flat=True)
    payments = Payment.objects.order_by().values_list("client", flat=True)
    # Each by an index of its own: asked for together they would be looked for in all rows.
    return {
        *invoices.filter(unsettled__gt=NOTHING).union(
            invoices.filter(unsettled__lt=NOTHING), invoices.filter(issued_on__gt=on)
        ),
        *payments.filter(invoice=None).union(payments.filter(received_on__gt=on)),
    }


def with_counter_payments(payments: QuerySet[Payment]) -> QuerySet[Payment]:
    """Bring along each payment's counter-payment, and no receipt.

    Not by a join: SQLite would look through all payments for each of them.
    """
    counters = Prefetch("countered_by", Payment.objects.defer("frozen"))
    return payments.defer("frozen").prefetch_related(counters)


def statement_of(
    client: Client, currency: str, since: date, until: date
) -> tuple[owed.StatementRow, ...]:
    """One client's account in one currency from `since` to `until`, both included."""
    invoices = Invoice.objects.select_related("commission__client", "credits").filter(
        commission__client=client
    )
    invoices = invoices.defer("frozen", "credits__frozen")
    payments = Payment.objects.filter(client=client, currency=currency)
    payments = payments.defer("frozen", "invoice__frozen")
    return owed.statement(
        map(_bill, invoices.filter(currency=currency)),
        map(_payment, payments.select_related("invoice")),
        since,
        until,
    )


def _key(client: int, currency: str) -> str:
    return f"{client} {currency}"


def _bill(invoice: Invoice) -> owed.Bill:
    return owed.Bill(
        number=invoice.number,
        client=_key(invoice.commission.client_id, invoice.currency),
        issued_on=invoice.issued_on,
        due_on=invoice.due_on,
        gross=invoice.gross,
        credits=invoice.credits.number if invoice.credits else "",
    )


def _payment(payment: Payment) -> owed.AccountPayment:
    return owed.AccountPayment(
        client=_key(payment.client_id, payment.currency),
        paid_on=payment.received_on,
        amount=payment.amount,
        bill=payment.invoice.number if payment.invoice else "",
    )


def _client_account(
    account: owed.Account, clients: dict[int, Client], invoices: dict[str, Invoice]
) -> ClientAccount:
    key, currency = account.client.split()
    return ClientAccount(
        client=clients[int(key)],
        currency=currency,
        account=account,
        invoices=tuple(
            OwedInvoice(
                invoice=invoices[debt.bill.number], owed=debt.owed, days_late=debt.days_late
            )
            for debt in sorted(account.debts, key=lambda debt: debt.bill.due_on)
            if debt.owed
        ),
    )


def ages_of(accounts: Iterable[ClientAccount], currency: str) -> dict[str, Decimal]:
    """What is owed in one currency by how late it is."""
    chosen: Sequence[ClientAccount] = [each for each in accounts if each.currency == currency]
    return owed.ageing(debt for each in chosen for debt in each.account.debts)
