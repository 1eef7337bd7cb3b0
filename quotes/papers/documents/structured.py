"""An invoice as data that a computer reads: EN 16931 in the UN/CEFACT syntax, as factur-x.xml.

Names of elements follow the syntax; the BT numbers beside them are the standard's own terms.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from xml.etree import ElementTree

FILE_NAME = "factur-x.xml"
PROFILE = "urn:cen.eu:en16931:2017"
INVOICE, CREDIT_NOTE, PREPAYMENT = "380", "381", "386"
"""Codes of UNTDID 1001 (BT-3)."""
SEPA_TRANSFER, TRANSFER = "58", "30"
"""Codes of UNTDID 4461 (BT-81)."""
ONE = "C62"
"""The unit code of a plain count (UN/ECE recommendation 20)."""

NAMESPACES = {
    "rsm": "urn:un:unece:uncefact:data:standard:CrossIndustryInvoice:100",
    "ram": "urn:un:unece:uncefact:data:standard:ReusableAggregateBusinessInformationEntity:100",
    "qdt": "urn:un:unece:uncefact:data:standard:QualifiedDataType:100",
    "udt": "urn:un:unece:uncefact:data:standard:UnqualifiedDataType:100",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Party:
    """A seller or a buyer (BG-4, BG-7)."""

    name: str
    address: tuple[str, ...]
    country: str
    tax_number: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DeliveryInformation:
    """Where the goods go (BT-80), and the day (BT-72) or the time (BT-73, BT-74) of it."""

    country: str
    delivered_on: date | None
    since: date | None
    until: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class StructuredLine:
    """An invoice line (BG-25) or, with the same fields, a tax group (BG-23)."""

    name: str
    net: Decimal
    tax: Decimal
    category: str
    percent: Decimal
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StructuredInvoice:
    """Everything that goes into the file; amounts are 0 or more also on a credit note."""

    number: str
    kind: str
    issued_on: date
    due_on: date | None
    currency: str
    note: str
    seller: Party
    buyer: Party
    delivery: DeliveryInformation | None
    lines: tuple[StructuredLine, ...]
    groups: tuple[StructuredLine, ...]
    net: Decimal
    tax: Decimal
    rounding: Decimal
    due: Decimal
    iban: str
    account_holder: str
    credits: str


def structured_xml(invoice: StructuredInvoice) -> bytes:
    """Write the file, in UTF-8; the same data always gives the same bytes."""
    for prefix, address in NAMESPACES.items():
        ElementTree.register_namespace(prefix, address)
    root = ElementTree.Element(_tag("rsm:CrossIndustryInvoice"))
    _put(
        root,
        "rsm:ExchangedDocumentContext/ram:GuidelineSpecifiedDocumentContextParameter/ram:ID",
        PROFILE,
    )
    _add_heading(root, invoice)
    trade = _put(root, "rsm:SupplyChainTradeTransaction")
    for number, line in enumerate(invoice.lines, start=1):
        _add_line(trade, number, line)
    agreement = _put(trade, "ram:ApplicableHeaderTradeAgreement")
    _add_party(_put(agreement, "ram:SellerTradeParty"), invoice.seller)
    _add_party(_put(agreement, "ram:BuyerTradeParty"), invoice.buyer)
    _add_delivery(_put(trade, "ram:ApplicableHeaderTradeDelivery"), invoice.delivery)
    _add_settlement(_put(trade, "ram:ApplicableHeaderTradeSettlement"), invoice)
    written: bytes = ElementTree.tostring(root, encoding="utf-8", xml_declaration=True)
    return written


def _add_heading(root: ElementTree.Element, invoice: StructuredInvoice) -> None:
    heading = _put(root, "rsm:ExchangedDocument")
    _put(heading, "ram:ID", invoice.number)
    _put(heading, "ram:TypeCode", invoice.kind)
    _put_day(heading, "ram:IssueDateTime", invoice.issued_on)
    if invoice.note:
        _put(heading, "ram:IncludedNote/ram:Content", invoice.note)


def _add_line(trade: ElementTree.Element, number: int, line: StructuredLine) -> None:
    """A price is never below 0 (BR-27): what is taken off has a quantity of -1."""
    item = _put(trade, "ram:IncludedSupplyChainTradeLineItem")
    _put(item, "ram:AssociatedDocumentLineDocument/ram:LineID", str(number))
    _put(item, "ram:SpecifiedTradeProduct/ram:Name", line.name)
    price = "ram:SpecifiedLineTradeAgreement/ram:NetPriceProductTradePrice/ram:ChargeAmount"
    _put(item, price, _amount(abs(line.net)))
    quantity = _put(
        item,
        "ram:SpecifiedLineTradeDelivery/ram:BilledQuantity",
        "1" if line.net >= 0 else "-1",
    )
    quantity.set("unitCode", ONE)
    settlement = _put(item, "ram:SpecifiedLineTradeSettlement")
    tax = _put(settlement, "ram:ApplicableTradeTax")
    _put(tax, "ram:TypeCode", "VAT")
    _put(tax, "ram:CategoryCode", line.category)
    if line.category != "O":
        _put(tax, "ram:RateApplicablePercent", _percent(line.percent))
    total = "ram:SpecifiedTradeSettlementLineMonetarySummation/ram:LineTotalAmount"
    _put(settlement, total, _amount(line.net))


def _add_party(place: ElementTree.Element, party: Party) -> None:
    _put(place, "ram:Name", party.name)
    address = _put(place, "ram:PostalTradeAddress")
    for name, line in zip(("One", "Two", "Three"), party.address, strict=False):
        _put(address, f"ram:Line{name}", line)
    _put(address, "ram:CountryID", party.country)
    if party.tax_number:
        _put(place, "ram:SpecifiedTaxRegistration/ram:ID", party.tax_number).set("schemeID", "VA")


def _add_delivery(place: ElementTree.Element, delivery: DeliveryInformation | None) -> None:
    if delivery and delivery.country:
        country = "ram:ShipToTradeParty/ram:PostalTradeAddress/ram:CountryID"
        _put(place, country, delivery.country)
    if delivery and delivery.delivered_on:
        happened = "ram:ActualDeliverySupplyChainEvent/ram:OccurrenceDateTime"
        _put_day(place, happened, delivery.delivered_on)


def _add_settlement(place: ElementTree.Element, invoice: StructuredInvoice) -> None:
    _put(place, "ram:PaymentReference", invoice.number)
    _put(place, "ram:InvoiceCurrencyCode", invoice.currency)
    if invoice.iban:
        _add_account(place, invoice)
    for group in invoice.groups:
        _add_tax(place, group)
    if invoice.delivery and invoice.delivery.since and invoice.delivery.until:
        period = _put(place, "ram:BillingSpecifiedPeriod")
        _put_day(period, "ram:StartDateTime", invoice.delivery.since)
        _put_day(period, "ram:EndDateTime", invoice.delivery.until)
    if invoice.due_on:
        _put_day(place, "ram:SpecifiedTradePaymentTerms/ram:DueDateDateTime", invoice.due_on)
    _add_sums(place, invoice)
    if invoice.credits:
        _put(place, "ram:InvoiceReferencedDocument/ram:IssuerAssignedID", invoice.credits)


def _add_account(place: ElementTree.Element, invoice: StructuredInvoice) -> None:
    means = _put(place, "ram:SpecifiedTradeSettlementPaymentMeans")
    _put(means, "ram:TypeCode", SEPA_TRANSFER if invoice.currency == "EUR" else TRANSFER)
    account = _put(means, "ram:PayeePartyCreditorFinancialAccount")
    _put(account, "ram:IBANID", "".join(invoice.iban.split()))
    if invoice.account_holder:
        _put(account, "ram:AccountName", invoice.account_holder)


def _add_tax(place: ElementTree.Element, group: StructuredLine) -> None:
    tax = _put(place, "ram:ApplicableTradeTax")
    _put(tax, "ram:CalculatedAmount", _amount(group.tax))
    _put(tax, "ram:TypeCode", "VAT")
    if group.reason:
        _put(tax, "ram:ExemptionReason", group.reason)
    _put(tax, "ram:BasisAmount", _amount(group.net))
    _put(tax, "ram:CategoryCode", group.category)
    if group.category != "O":
        _put(tax, "ram:RateApplicablePercent", _percent(group.percent))


def _add_sums(place: ElementTree.Element, invoice: StructuredInvoice) -> None:
    sums = _put(place, "ram:SpecifiedTradeSettlementHeaderMonetarySummation")
    _put(sums, "ram:LineTotalAmount", _amount(invoice.net))
    _put(sums, "ram:TaxBasisTotalAmount", _amount(invoice.net))
    total = _put(sums, "ram:TaxTotalAmount", _amount(invoice.tax))
    total.set("currencyID", invoice.currency)
    if invoice.rounding:
        _put(sums, "ram:RoundingAmount", _amount(invoice.rounding))
    _put(sums, "ram:GrandTotalAmount", _amount(invoice.net + invoice.tax))
    _put(sums, "ram:DuePayableAmount", _amount(invoice.due))


def _put(place: ElementTree.Element, path: str, text: str = "") -> ElementTree.Element:
    """Add nested elements along `path` and return the last, holding `text`."""
    for name in path.split("/"):
        place = ElementTree.SubElement(place, _tag(name))
    if text:
        place.text = text
    return place


def _put_day(place: ElementTree.Element, path: str, day: date) -> None:
    _put(place, f"{path}/udt:DateTimeString", f"{day:%Y%m%d}").set("format", "102")


def _tag(name: str) -> str:
    prefix, local = name.split(":")
    return f"{{{NAMESPACES[prefix]}}}{local}"


def _amount(amount: Decimal) -> str:
    # Adding 0 takes the sign off a nothing: a credit note's tax of -0.00 is not its sum (BR-CO-14).
    return f"{amount + 0:.2f}"


def _percent(percent: Decimal) -> str:
    return f"{percent:.2f}"
