"""The data of invoices, credit notes, receipts and statements, gathered from the books."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal

from inventory.base.calc.money import in_home_money, minor_unit_of
from inventory.base.documents import is_letter_size
from inventory.base.refusals import Refusal
from inventory.models import Workshop
from quotes.base.calc.snapshot import from_data
from quotes.invoicing.calc.epc import Transfer, payment_code_text
from quotes.invoicing.calc.owed import StatementRow
from quotes.invoicing.queries.delivery import delivery_of, delivery_words
from quotes.models import Client, Invoice, Payment, PricingPolicy
from quotes.papers.documents.papers import (
    BankAccount,
    InvoicePaper,
    ReceiptPaper,
    StatementLine,
    StatementPaper,
)
from quotes.papers.documents.quote import (
    addressee_of,
    in_figures,
    letterhead_of,
    paper_totals,
    tax_name,
)
from quotes.pricing.calc.tax_document import TaxedDocument


def invoice_paper(
    invoice: Invoice, document: TaxedDocument, *, title: str, concerns: Sequence[str]
) -> InvoicePaper:
    """Gather an invoice that has its number and its days but no document yet."""
    workshop = Workshop.objects.get()
    policy = PricingPolicy.objects.get_or_create(pk=1)[0]
    is_credit, delivery = invoice.is_credit, delivery_of(invoice)
    return InvoicePaper(
        letterhead=letterhead_of(workshop),
        addressee=addressee_of(invoice.commission.client, workshop),
        name="Credit note" if is_credit else "Invoice",
        number=invoice.number,
        title=title,
        concerns=(*concerns, delivery_words(delivery)) if delivery else tuple(concerns),
        totals=paper_totals(document, invoice.currency, document.lines[0].name, tax_name()),
        home_tax=_home_tax(invoice, workshop),
        issued_on=invoice.issued_on,
        due_on=None if is_credit else invoice.due_on,
        bank=None if is_credit else bank_account(policy, workshop, invoice),
        terms="" if is_credit else policy.terms,
        is_letter_size=is_letter_size(workshop.country),
    )


def bank_account(
    policy: PricingPolicy, workshop: Workshop, invoice: Invoice | None = None
) -> BankAccount | None:
    """Where to pay to, with a payment code where an invoice asks for euro."""
    if not policy.iban:
        return None
    holder = policy.account_holder or workshop.name
    code = ""
    if invoice is not None and invoice.currency == "EUR" and invoice.gross > 0:
        code = _payment_code(policy, holder, invoice)
    return BankAccount(holder=holder, iban=policy.iban, bic=policy.bic, code=code)


def receipt_of(payment: Payment) -> ReceiptPaper:
    """Return a receipt as it was when the payment was recorded."""
    return from_data(ReceiptPaper, payment.frozen) if payment.frozen else receipt_paper(payment)


def receipt_paper(payment: Payment) -> ReceiptPaper:
    """Gather a receipt as the books say today."""
    workshop = Workshop.objects.get()
    concerns = [f"Invoice {payment.invoice.number}"] if payment.invoice else []
    if payment.commission:
        concerns.append(payment.commission.title)
    return ReceiptPaper(
        letterhead=letterhead_of(workshop),
        addressee=addressee_of(payment.client, workshop),
        number=payment.number,
        title="Receipt" if payment.amount > 0 else "Refund",
        currency=payment.currency,
        amount=abs(payment.amount),
        received_on=payment.received_on,
        way=payment.get_way_display(),
        concerns=tuple(concerns),
        is_letter_size=is_letter_size(workshop.country),
    )


def statement_paper(
    client: Client, currency: str, rows: Sequence[StatementRow], since: date, until: date
) -> StatementPaper:
    """Gather a client's account over a stretch of days."""
    workshop = Workshop.objects.get()
    policy = PricingPolicy.objects.get_or_create(pk=1)[0]
    balance = rows[-1].balance if rows else Decimal(0)
    return StatementPaper(
        letterhead=letterhead_of(workshop),
        addressee=addressee_of(client, workshop),
        currency=currency,
        since=since,
        until=until,
        lines=tuple(
            StatementLine(
                on=row.on,
                words=row.words,
                charged=row.charged,
                paid=row.paid,
                balance=row.balance,
            )
            for row in rows
        ),
        balance=balance,
        bank=bank_account(policy, workshop) if balance > 0 else None,
        is_letter_size=is_letter_size(workshop.country),
    )


def _payment_code(policy: PricingPolicy, holder: str, invoice: Invoice) -> str:
    try:
        transfer = Transfer(
            name=holder[:70],
            iban=policy.iban,
            bic=policy.bic,
            amount=invoice.gross,
            text=f"Invoice {invoice.number}",
        )
        return payment_code_text(transfer)
    except Refusal:
        return ""


def _home_tax(invoice: Invoice, workshop: Workshop) -> str:
    """Tax in home money, in words, where the invoice is in another money and has tax."""
    if invoice.currency == workshop.currency or not invoice.tax:
        return ""
    tax = in_home_money(
        invoice.tax, invoice.exchange_rate or Decimal(1), minor_unit_of(workshop.currency)
    )
    return f"Tax in {workshop.currency}: {in_figures(tax, workshop.currency)}"
