"""A quote in the client's money, and what receipts at their own rates gained or lost."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.base.calc.money import in_home_money, round_money, round_up_to_step, share_out
from quotes.base.calc.checks import above_zero, percent_of, percent_up_to_100, whole_units
from quotes.base.calc.figures import CENT, NOTHING, Figure, added_up, money_in_words, plain
from quotes.pricing.calc.pricing import PriceSheet
from quotes.pricing.calc.tax import TaxableLine
from quotes.pricing.calc.tax_document import TaxedDocument, tax_document


@dataclass(frozen=True, slots=True, kw_only=True)
class ClientMoney:
    """The client's currency: `rate` is units of it for one unit of home money on a day.

    `buffer_percent` guards against the rate moving before the client pays; `step` rounds the
    quoted net up; `unit` is the currency's minor unit.
    """

    currency: str
    rate: Decimal
    rated_on: date
    buffer_percent: Decimal = NOTHING
    step: Decimal = NOTHING
    unit: Decimal = CENT

    def __post_init__(self) -> None:
        above_zero(self.rate, "The exchange rate", "rate")
        percent_up_to_100(self.buffer_percent, "The buffer", "buffer_percent")
        whole_units(self.step, self.unit, "step")


@dataclass(frozen=True, slots=True, kw_only=True)
class ClientPrice:
    """A price in the client's money: `net` opens to its steps, `document` puts the tax on."""

    money: ClientMoney
    net: Figure
    document: TaxedDocument

    def __post_init__(self) -> None:
        if self.net.amount != self.document.net:
            raise ValueError(f"The steps come to {self.net.amount}, not {self.document.net}.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Receipt:
    """Client's money that came in on a day, and the home money it turned out to be."""

    received_on: date
    amount: Decimal
    home: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class ReceiptGain:
    """A receipt beside what it would have been at the quote's rate; below 0 is a loss."""

    receipt: Receipt
    at_quoted_rate: Decimal
    gain: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrencyResult:
    """The receipts of a commission in home money against the quote's rate.

    Raises ValueError when the gain is not the sum of the receipts' gains.
    """

    receipts: tuple[ReceiptGain, ...]
    home: Decimal
    at_quoted_rate: Decimal
    gain: Decimal

    def __post_init__(self) -> None:
        if sum((each.gain for each in self.receipts), NOTHING) != self.gain:
            raise ValueError("The gain is not the sum of the receipts' gains.")
        if self.home - self.at_quoted_rate != self.gain:
            raise ValueError("The gain is not the difference of the two values.")


def in_client_money(sheet: PriceSheet, money: ClientMoney) -> ClientPrice:
    """Put a price sheet into the client's money: at the rate, with the buffer, up to the step.

    The net is converted as one sum and then cut to the instrument (a dealer's discount taken off)
    and shipping, so that the lines add up to what was quoted.
    """
    net = _client_net(sheet.net, money)
    off = sheet.document.allowance_total
    home = [sheet.document.lines[0].net - off, *(line.net for line in sheet.document.lines[1:])]
    shares = share_out(net.amount, home, money.unit) if any(home) else home
    lines = [
        TaxableLine(name=line.name, net=share, rate=line.rate)
        for line, share in zip(sheet.document.lines, shares, strict=True)
    ]
    return ClientPrice(money=money, net=net, document=tax_document(lines, minor_unit=money.unit))


def currency_result(
    receipts: Iterable[Receipt], quoted_rate: Decimal, minor_unit: Decimal = CENT
) -> CurrencyResult:
    """Compare what receipts turned out to be with the quote's rate, before its buffer."""
    gains = tuple(_gain(receipt, quoted_rate, minor_unit) for receipt in receipts)
    home = sum((each.receipt.home for each in gains), NOTHING)
    quoted = sum((each.at_quoted_rate for each in gains), NOTHING)
    return CurrencyResult(receipts=gains, home=home, at_quoted_rate=quoted, gain=home - quoted)


def _client_net(net: Decimal, money: ClientMoney) -> Figure:
    converted = round_money(net * money.rate, money.unit)
    buffer = round_money(percent_of(money.buffer_percent, converted), money.unit)
    quoted = round_up_to_step(converted + buffer, money.step)
    steps = (
        Figure(
            name="At the day's rate",
            amount=converted,
            how=f"{money_in_words(net)} × {plain(money.rate)}, rate of {money.rated_on}",
            key="converted",
        ),
        Figure(
            name="Buffer",
            amount=buffer,
            how=f"{plain(money.buffer_percent)} % of {money_in_words(converted, money.unit)}",
            key="buffer",
        ),
        Figure(
            name="Rounding up",
            amount=quoted - converted - buffer,
            how=f"{money_in_words(converted + buffer, money.unit)} up to the next "
            f"{plain(money.step)}"
            if money.step
            else "not rounded",
            key="client-rounding",
        ),
    )
    return added_up(f"Net in {money.currency}", steps, key="client-net")


def _gain(receipt: Receipt, quoted_rate: Decimal, minor_unit: Decimal) -> ReceiptGain:
    quoted = in_home_money(receipt.amount, quoted_rate, minor_unit)
    return ReceiptGain(receipt=receipt, at_quoted_rate=quoted, gain=receipt.home - quoted)
