"""Plain tables as files that any program of tables opens: CSV, and XLSX with a sheet for each."""

from collections.abc import Iterable
from decimal import Decimal
from io import BytesIO
from typing import TYPE_CHECKING

from inventory.base.calc.table import Cell, YearTable

if TYPE_CHECKING:
    from pandas import DataFrame

OPENS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def as_csv(table: YearTable) -> bytes:
    """Return a table as CSV in UTF-8, with a mark at its start by which programs know that."""
    written: bytes = _frame(table).to_csv(index=False).encode("utf-8-sig")
    return written


def as_xlsx(tables: Iterable[YearTable]) -> bytes:
    """Return tables as one XLSX file, each on a sheet of its name.

    Numbers stay numbers, and show as many places as they were given.
    """
    from pandas import ExcelWriter

    kept = BytesIO()
    with ExcelWriter(kept, engine="openpyxl") as writer:
        for table in tables:
            _frame(table).to_excel(writer, sheet_name=table.name, index=False)
            sheet = writer.sheets[table.name]
            sheet.freeze_panes = "B2"
            for place, title in enumerate(table.columns):
                cells = [len(f"{row[place]}") for row in table.rows]
                letter = sheet.cell(row=1, column=place + 1).column_letter
                sheet.column_dimensions[letter].width = max([len(title), *cells]) + 2
            for place, row in enumerate(table.rows, start=2):
                for cell, value in zip(sheet[place], row, strict=True):
                    if isinstance(value, Decimal):
                        cell.number_format = _places(value)
    return kept.getvalue()


def _places(number: Decimal) -> str:
    """Return the format of a number that shows as many places as it has."""
    places = max(-int(number.as_tuple().exponent), 0)
    return f"#,##0.{'0' * places}" if places else "#,##0"


def _frame(table: YearTable) -> "DataFrame":
    from pandas import DataFrame

    rows = [[_harmless(cell) for cell in row] for row in table.rows]
    return DataFrame(rows, columns=list(table.columns), dtype=object)


def _harmless(cell: Cell) -> Cell:
    """Keep a text from being run as a formula by the program that opens the file."""
    if isinstance(cell, str) and cell.startswith(OPENS_A_FORMULA):
        return f"'{cell}"
    return cell
