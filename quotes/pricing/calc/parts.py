"""A price paid in parts: deposit, stage payments, balance, always adding up to the whole."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from inventory.base.calc.money import round_money, share_out
from inventory.base.refusals import Refusal
from quotes.base.calc.checks import HUNDRED, not_below_zero
from quotes.base.calc.figures import CENT, NOTHING, plain
from quotes.pricing.calc.tax import TaxableLine, TaxRate
from quotes.pricing.calc.tax_document import TaxedDocument, tax_document


@dataclass(frozen=True, slots=True, kw_only=True)
class PartTerm:
    """One part as agreed: a fixed gross `amount`, or a `percent` of what no fixed part takes."""

    name: str
    percent: Decimal = NOTHING
    amount: Decimal = NOTHING

    def __post_init__(self) -> None:
        not_below_zero(self.percent, f"{self.name}: the percentage", "percent")
        not_below_zero(self.amount, f"{self.name}: the amount", "amount")
        if self.percent and self.amount:
            raise Refusal(
                f"{self.name} has a percentage and an amount. Give only one.", field="amount"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class PaymentPart:
    """One part in money, gross."""

    name: str
    amount: Decimal


def payment_parts(
    gross: Decimal, terms: Sequence[PartTerm], minor_unit: Decimal = CENT
) -> tuple[PaymentPart, ...]:
    """Cut a gross amount by its terms; the parts add up to it exactly.

    Refuses percentages that don't come to 100 and fixed parts above the whole.
    """
    fixed = [round_money(term.amount, minor_unit) for term in terms]
    rest = gross - sum(fixed, NOTHING)
    percents = [term.percent for term in terms]
    _check_terms(rest, sum(percents, NOTHING), gross)
    shares = share_out(rest, percents, minor_unit) if any(percents) else [NOTHING for _ in terms]
    return tuple(
        PaymentPart(name=term.name, amount=amount + share)
        for term, amount, share in zip(terms, fixed, shares, strict=True)
    )


def part_documents(whole: TaxedDocument, parts: Sequence[PaymentPart]) -> tuple[TaxedDocument, ...]:
    """Give each part its own net and tax, so that each can be invoiced by itself.

    The taxable sums of all parts add up to the whole's for every rate, what is due adds up to
    what is due of the whole, and each part's tax is the standard's own; the odd cent between them
    stands in the part's rounding (BT-114). Raises ValueError when the parts aren't the whole.
    """
    amounts = [part.amount for part in parts]
    if sum(amounts, NOTHING) != whole.due:
        raise ValueError(f"The parts come to {sum(amounts, NOTHING)}, not {whole.due}.")
    shares = [share_out(group.taxable, amounts, whole.unit) for group in whole.groups]
    rates = [group.rate for group in whole.groups]
    return tuple(
        _part_document(part, zip(rates, nets, strict=True), whole.unit)
        for part, nets in zip(parts, zip(*shares, strict=True), strict=True)
    )


def _part_document(
    part: PaymentPart, nets: Iterable[tuple[TaxRate, Decimal]], minor_unit: Decimal
) -> TaxedDocument:
    lines = [TaxableLine(name=part.name, net=net, rate=rate) for rate, net in nets]
    # What a client pays is a round sum agreed beforehand; the standard's tax on it may differ by
    # a cent.
    rounding = part.amount - tax_document(lines, minor_unit=minor_unit).gross
    return tax_document(lines, rounding=rounding, minor_unit=minor_unit)


def _check_terms(rest: Decimal, percents: Decimal, gross: Decimal) -> None:
    if rest < 0:
        raise Refusal(f"The fixed parts add up to more than the price, {gross}.", field="amount")
    if percents != HUNDRED and (percents or rest):
        raise Refusal(
            f"The parts add up to {plain(percents)} %; they must add up to 100 %.", field="parts"
        )
