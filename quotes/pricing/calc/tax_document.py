"""A document's tax and totals by EN 16931, in a value that checks its own sums."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from quotes.base.calc.figures import CENT, NOTHING
from quotes.pricing.calc.tax import TaxableLine, TaxRate, tax_on


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxGroup:
    """The taxable sum of one category and rate (BT-116) and its tax (BT-117)."""

    rate: TaxRate
    taxable: Decimal
    tax: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxedDocument:
    """Lines, allowances and charges with every total of EN 16931.

    Allowances and charges are amounts of 0 or more that stand for the whole document. Raises
    ValueError that names the broken rules when a total is not the sum of what is shown.
    """

    lines: tuple[TaxableLine, ...]
    allowances: tuple[TaxableLine, ...] = ()
    charges: tuple[TaxableLine, ...] = ()
    groups: tuple[TaxGroup, ...]
    lines_total: Decimal
    allowance_total: Decimal
    charge_total: Decimal
    net: Decimal
    tax: Decimal
    gross: Decimal
    paid: Decimal = NOTHING
    rounding: Decimal = NOTHING
    due: Decimal
    unit: Decimal = field(default=CENT)

    def __post_init__(self) -> None:
        broken = broken_rules(self)
        if broken:
            raise ValueError(f"The totals break {', '.join(broken)} of EN 16931.")


def tax_document(
    lines: Iterable[TaxableLine],
    *,
    allowances: Iterable[TaxableLine] = (),
    charges: Iterable[TaxableLine] = (),
    paid: Decimal = NOTHING,
    rounding: Decimal = NOTHING,
    minor_unit: Decimal = CENT,
) -> TaxedDocument:
    """Work out a document's tax and totals from its lines."""
    lines, allowances, charges = tuple(lines), tuple(allowances), tuple(charges)
    groups = tax_groups(lines, allowances, charges, minor_unit)
    net = _nets(lines) - _nets(allowances) + _nets(charges)
    tax = sum((group.tax for group in groups), NOTHING)
    return TaxedDocument(
        lines=lines,
        allowances=allowances,
        charges=charges,
        groups=groups,
        lines_total=_nets(lines),
        allowance_total=_nets(allowances),
        charge_total=_nets(charges),
        net=net,
        tax=tax,
        gross=net + tax,
        paid=paid,
        rounding=rounding,
        due=net + tax - paid + rounding,
        unit=minor_unit,
    )


def tax_groups(
    lines: Sequence[TaxableLine],
    allowances: Sequence[TaxableLine] = (),
    charges: Sequence[TaxableLine] = (),
    minor_unit: Decimal = CENT,
) -> tuple[TaxGroup, ...]:
    """Add up each category and rate (BR-S-08 and its like) and put the tax on the sum."""
    sums: dict[TaxRate, Decimal] = {}
    signed = [(line, 1) for line in (*lines, *charges)] + [(line, -1) for line in allowances]
    for line, sign in signed:
        sums[line.rate] = sums.get(line.rate, NOTHING) + sign * line.net
    return tuple(
        TaxGroup(rate=rate, taxable=taxable, tax=tax_on(taxable, rate, minor_unit))
        for rate, taxable in sums.items()
    )


def broken_rules(document: TaxedDocument) -> list[str]:
    """Name the rules of EN 16931 that the document's totals break, none if they hold."""
    allowances, charges = document.allowances, document.charges
    groups = tax_groups(document.lines, allowances, charges, document.unit)
    rules = {
        "BR-CO-10": document.lines_total == _nets(document.lines),
        "BR-CO-11": document.allowance_total == _nets(allowances),
        "BR-CO-12": document.charge_total == _nets(charges),
        "BR-CO-13": document.net
        == document.lines_total - document.allowance_total + document.charge_total,
        "BR-CO-14": document.tax == sum((group.tax for group in document.groups), NOTHING),
        "BR-CO-15": document.gross == document.net + document.tax,
        "BR-CO-16": document.due == document.gross - document.paid + document.rounding,
        "BR-CO-17": _taxes(document.groups) == _taxes(groups),
        "BR-CO-18": bool(document.groups),
        "BR-S-08": _taxables(document.groups) == _taxables(groups),
        "BR-DEC": all(not amount % document.unit for amount in _amounts(document)),
    }
    return [rule for rule, holds in rules.items() if not holds]


def _nets(lines: Iterable[TaxableLine]) -> Decimal:
    return sum((line.net for line in lines), NOTHING)


def _taxes(groups: Iterable[TaxGroup]) -> dict[TaxRate, Decimal]:
    return {group.rate: group.tax for group in groups}


def _taxables(groups: Iterable[TaxGroup]) -> dict[TaxRate, Decimal]:
    return {group.rate: group.taxable for group in groups}


def _amounts(document: TaxedDocument) -> list[Decimal]:
    every = (*document.lines, *document.allowances, *document.charges)
    return [line.net for line in every] + [document.paid, document.rounding]
