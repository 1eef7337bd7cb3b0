"""The year-end sheet: on paper, and as tables."""

from decimal import Decimal

from inventory.base.calc.money import minor_unit_of, round_money
from inventory.base.calc.table import YearTable
from inventory.base.documents import page_size, write_pdf
from inventory.models import Workshop
from quotes.year_end.calc import YearEnd


def year_end_pdf(end: YearEnd, workshop: Workshop) -> bytes:
    """Return the sheet as PDF, with a box at each line for whoever ticks it off."""
    context = {"end": end, "workshop": workshop, "size": page_size(workshop.country)}
    return write_pdf("quotes/year_end/sheet.html", context)


def year_end_tables(end: YearEnd, currency: str) -> tuple[YearTable, ...]:
    """Return every list of the sheet as a table; `currency` is home money's code."""
    unit = minor_unit_of(currency)

    def home(amount: Decimal | None) -> Decimal | None:
        return None if amount is None else round_money(amount, unit)

    return (
        YearTable(
            name="summary",
            columns=("what", currency),
            rows=tuple((words, home(amount)) for words, amount in summary(end)),
        ),
        YearTable(
            name="stock",
            columns=(
                "family", "material", "quantity", "unit", "cost", "proposed write-down",
                "realisable value of the rest", "below cost", "carrying value", "replacement",
            ),
            rows=tuple(
                (line.family, line.name, _tidy(line.quantity), line.unit, home(line.cost),
                 home(line.written_down), home(line.realisable), home(line.below_cost),
                 home(line.value), home(line.replacement))
                for line in end.stock
            ),
        ),
        YearTable(
            name="write-downs",
            columns=("lot", "material", "quantity", "cost", "reason"),
            rows=tuple(
                (one.lot, one.material, one.quantity, home(one.cost), one.why)
                for one in end.write_downs
            ),
        ),
        YearTable(
            name="work in progress",
            columns=(
                "serial number", "build", "materials drawn", "bought for it", "cost", "hours",
                "labour at cost", "cost with labour", "scrapped, not in it", "invoiced ahead, net",
            ),
            rows=tuple(
                (one.build.serial, one.build.title, home(one.build.materials),
                 home(one.build.bought), home(one.build.cost),
                 round_money(one.build.minutes / 60), home(one.labour), home(one.with_labour),
                 home(one.build.scrapped), home(one.build.invoiced))
                for one in end.builds
            ),
        ),
        YearTable(
            name="owed",
            columns=("invoice", "client", "currency", "owed", "days late"),
            rows=tuple(
                (one.number, one.client, one.currency,
                 round_money(one.amount, minor_unit_of(one.currency)), one.days_late)
                for one in end.owed
            ),
        ),
        YearTable(
            name="without a price",
            columns=("material", "missing"),
            rows=(
                *((line.name, "replacement price") for line in end.without_replacement),
                *((line.name, "realisable value") for line in end.without_realisable),
            ),
        ),
    )  # fmt: skip


def summary(end: YearEnd) -> tuple[tuple[str, Decimal], ...]:
    """Return the sums of the sheet in their order, each with its name."""
    labour = (("labour at cost", end.labour),) if end.labour_rate is not None else ()
    return (
        ("stock at cost", end.stock_cost),
        ("proposed write-downs", -end.written_down),
        ("realisable value below cost", -end.below_cost),
        ("stock, carrying value", end.stock_value),
        ("work in progress, materials", end.in_progress),
        *labour,
        ("stock and work in progress", end.inventories),
    )


def _tidy(quantity: Decimal) -> Decimal:
    return Decimal(f"{quantity.quantize(Decimal('0.001')).normalize():f}")
