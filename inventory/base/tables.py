"""Plain tables as files, for the accountant and for twenty years from now."""

import csv
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, tzinfo
from decimal import Decimal
from io import SEEK_END, BytesIO, StringIO
from itertools import chain, islice
from typing import TYPE_CHECKING, Any

from django.utils import timezone

from inventory.base.calc.money import round_money
from inventory.base.calc.table import YearTable
from inventory.base.queries import home_minor_unit
from inventory.models import StockEntry

if TYPE_CHECKING:
    from pandas import DataFrame

CSV, XLSX = "text/csv", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
TYPES = {"csv": CSV, "xlsx": XLSX}
WIDEST = 48
"""Characters; what is longer runs on into the next column."""

PART = 2000
"""Rows that are sent at once."""

MONEY_COLUMNS = {"cost", "realisable", "lower of cost and realisable", "replacement"}
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def write_table(rows: Iterable[dict[str, Any]], kind: str, sheet: str = "stock") -> bytes:
    """Return `rows` as a file: `csv` (UTF-8 with its mark, decimal points) or `xlsx`.

    Words that a spreadsheet would take for a formula are set as text.
    """
    safe = ({name: safe_in_sheet(value) for name, value in row.items()} for row in rows)
    return b"".join(_csv_parts(safe)) if kind == "csv" else _written_xlsx(safe, sheet)


def csv_parts(rows: Iterable[dict[str, Any]]) -> Iterator[bytes]:
    """Yield `rows` as CSV some thousand at a time: years of them never lie in memory."""
    return _csv_parts({name: safe_in_sheet(value) for name, value in row.items()} for row in rows)


def _csv_parts(rows: Iterator[dict[str, Any]]) -> Iterator[bytes]:
    text = StringIO("\ufeff")
    text.seek(0, SEEK_END)
    writer = csv.writer(text)
    for place, row in enumerate(rows):
        if not place:
            writer.writerow(row)
        writer.writerow(row.values())
        if place % PART == PART - 1:
            yield text.getvalue().encode()
            text.seek(0)
            text.truncate()
    yield text.getvalue().encode()


def _written_xlsx(rows: Iterator[dict[str, Any]], sheet: str) -> bytes:
    """Write row after row to a temporary file: years of them never lie in memory."""
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell

    book = Workbook(write_only=True)
    page = book.create_sheet(sheet)
    page.freeze_panes = "A2"
    page.print_title_rows = "1:1"
    page.page_setup.orientation = "landscape"
    page.page_setup.fitToHeight = 0
    page.sheet_properties.pageSetUpPr.fitToPage = True
    first = list(islice(rows, PART))
    heads = list(first[0]) if first else []
    _lay_out(page, heads, [list(row.values()) for row in first])
    money = "#,##" + f"{home_minor_unit():f}".replace("1", "0")
    in_money = [place for place, name in enumerate(heads) if name in MONEY_COLUMNS]
    for row in chain(first, rows):
        cells = list(row.values())
        for place in in_money:
            cells[place] = WriteOnlyCell(page, cells[place])
            cells[place].number_format = money
        page.append(cells)
    return _saved(book)


def _lay_out(page: Any, heads: Sequence[str], rows: Sequence[Sequence[Any]]) -> None:
    """Make columns as wide as their words in `rows`, and write the heads.

    Widths stand before the rows in the file, so that rows which come later don't count.
    """
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    for place, name in enumerate(heads):
        longest = max([len(name), *(len(str(row[place])) for row in rows)])
        letter = get_column_letter(place + 1)
        page.column_dimensions[letter].width = min(longest, WIDEST) + 2
    cells = [WriteOnlyCell(page, name) for name in heads]
    for cell in cells:
        cell.font = Font(bold=True)
    page.append(cells)


def _saved(book: Any) -> bytes:
    written = BytesIO()
    book.save(written)
    return written.getvalue()


def as_csv(table: YearTable) -> bytes:
    """Return a table as CSV in UTF-8, with a mark at its start by which programs know that."""
    written: bytes = _frame(table).to_csv(index=False).encode("utf-8-sig")
    return written


def as_xlsx(tables: Iterable[YearTable]) -> bytes:
    """Return tables as one XLSX file, each on a sheet of its name.

    Numbers stay numbers, and show as many places as they were given.
    """
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell

    book = Workbook(write_only=True)
    for table in tables:
        page = book.create_sheet(table.name)
        page.freeze_panes = "B2"
        _lay_out(page, table.columns, table.rows)
        for row in table.rows:
            cells = [safe_in_sheet(value) for value in row]
            for place, value in enumerate(row):
                if isinstance(value, Decimal):
                    cells[place] = WriteOnlyCell(page, value)
                    cells[place].number_format = _places(value)
            page.append(cells)
    return _saved(book)


def _places(number: Decimal) -> str:
    """Return the format of a number that shows as many places as it has."""
    places = max(-int(number.as_tuple().exponent), 0)
    return f"#,##0.{'0' * places}" if places else "#,##0"


def _frame(table: YearTable) -> "DataFrame":
    from pandas import DataFrame

    rows = [[safe_in_sheet(cell) for cell in row] for row in table.rows]
    return DataFrame(rows, columns=list(table.columns), dtype=object)


def _fetched(entry: StockEntry) -> Decimal | str:
    """What a sale fetched, beside its first entry."""
    return _plain(entry.sale.price) if hasattr(entry, "sale") else ""


def safe_in_sheet(value: Any) -> Any:
    """Return `value`; words that a spreadsheet would take for a formula behind an apostrophe."""
    if isinstance(value, str) and value.startswith(FORMULA_STARTS):
        return f"'{value}"
    return value


def _money(amount: Decimal | None, minor_unit: Decimal) -> Decimal | str:
    return "" if amount is None else round_money(amount, minor_unit)


def _plain(value: Decimal) -> Decimal:
    tidy = value.quantize(Decimal("0.000001")).normalize()
    return tidy.quantize(Decimal(1)) if tidy == tidy.to_integral_value() else tidy


def _local(moment: datetime, zone: tzinfo) -> str:
    return f"{timezone.localtime(moment, zone):%Y-%m-%d %H:%M}"
