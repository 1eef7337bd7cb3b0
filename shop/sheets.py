"""A maker's own files, CSV or XLSX, as tables of text."""

import json
from datetime import date, datetime, time, timedelta
from io import BytesIO, StringIO
from typing import Any

from inventory.refusals import Refusal
from shop.calc.oldsheets.records import Sheet

MOST_BYTES = 2_000_000
MOST_PACKED = 2_300_000
MOST_ROWS, MOST_COLUMNS, FAR_TOO_WIDE = 5000, 100, 1000
LEAST_HEADERS = 2
SEPARATORS = (";", "\t")
ENCODINGS = ("utf-8-sig", "cp1252")
XLSX_MARK = b"PK"
SHEET_EPOCH = date(1899, 12, 31)
"""Lengths of time of a day or more come out of a spreadsheet as moments since this day."""


def read_file(name: str, content: bytes) -> Sheet:
    """Return the first sheet of an XLSX file, or a CSV file, as text. Raises Refusal.

    The header is the first row with two cells or more; what stands above it is passed over.
    """
    if len(content) > MOST_BYTES:
        raise Refusal("The file is larger than 2 MB. Save only the sheet of hours.", field="file")
    rows = _xlsx_rows(name, content) if content.startswith(XLSX_MARK) else _csv_rows(content)
    return _sheet([[_text(cell) for cell in row] for row in rows])


def read_pasted(text: str) -> Sheet:
    """Return rows pasted from a spreadsheet, or typed with commas, as text. Raises Refusal."""
    if len(text) > MOST_BYTES:
        raise Refusal("That is more than 2 MB. Paste fewer rows.", field="pasted")
    return _sheet([[_text(cell) for cell in row] for row in _separated_rows(text)])


def packed(sheet: Sheet) -> str:
    """Write a sheet as text that a form can carry until it is loaded. Raises Refusal."""
    text = json.dumps({"headers": sheet.headers, "rows": sheet.rows}, separators=(",", ":"))
    if len(text.encode()) > MOST_PACKED:
        raise Refusal("The sheet holds more than a form can carry. Split it up.", field="file")
    return text


def unpacked(text: str) -> Sheet:
    """Return the sheet that a form carried. Raises Refusal when it is not whole."""
    try:
        given = json.loads(text)
        headers = tuple(map(str, given["headers"]))
        rows = tuple((int(number), tuple(map(str, cells))) for number, cells in given["rows"])
    except (ValueError, KeyError, TypeError):
        raise Refusal("The sheet was lost on the way. Choose the file again.") from None
    if not rows or any(len(cells) != len(headers) for _, cells in rows):
        raise Refusal("The sheet was lost on the way. Choose the file again.")
    return Sheet(headers=headers, rows=rows)


def _xlsx_rows(name: str, content: bytes) -> list[list[Any]]:
    import pandas as pd

    try:
        frame = pd.read_excel(BytesIO(content), header=None, dtype=object, engine="openpyxl")
    except Exception as error:  # whatever a broken file makes its reader raise
        raise Refusal(
            f"{name} can't be read as a spreadsheet. Save it as XLSX or CSV.", field="file"
        ) from error
    rows: list[list[Any]] = frame.astype(object).where(frame.notna(), None).to_numpy().tolist()
    return rows


def _csv_rows(content: bytes) -> list[list[Any]]:
    for encoding in ENCODINGS:
        try:
            return _separated_rows(content.decode(encoding))
        except UnicodeDecodeError:
            continue
    raise Refusal("The file is no text. Save it as XLSX or CSV.", field="file")


def _separated_rows(text: str) -> list[list[Any]]:
    import pandas as pd

    if "\0" in text or not text.strip():
        raise Refusal("There is no table in it. The first row says what each column is.")
    lines = text.splitlines()
    separator = next((one for one in SEPARATORS if _is_in_half(one, lines)), ",")
    widest = max(line.count(separator) for line in lines) + 1
    if widest > FAR_TOO_WIDE:
        raise Refusal(f"A row of it has {widest} cells, which is no table of hours.")
    try:
        frame = pd.read_csv(
            StringIO(text),
            sep=separator,
            header=None,
            names=range(widest),
            dtype=str,
            keep_default_na=False,
            skip_blank_lines=False,
        )
    except ValueError as error:
        raise Refusal(f"The file can't be read as a table: {error}") from error
    rows: list[list[Any]] = frame.to_numpy().tolist()
    return rows


def _is_in_half(separator: str, lines: list[str]) -> bool:
    return 2 * sum(separator in line for line in lines) >= len(lines)


def _sheet(rows: list[list[str]]) -> Sheet:
    start = next(
        (place for place, row in enumerate(rows) if sum(map(bool, row)) >= LEAST_HEADERS), None
    )
    if start is None or start + 1 >= len(rows):
        raise Refusal("There is no table in it. The first row says what each column is.")
    width = max(place for place, header in enumerate(rows[start]) if header) + 1
    if len(rows) - start > MOST_ROWS or width > MOST_COLUMNS:
        raise Refusal(
            f"A sheet has {MOST_ROWS} rows and {MOST_COLUMNS} columns at most. Split it up."
        )
    return Sheet(
        headers=tuple(rows[start][:width]),
        rows=tuple(
            (start + place, tuple(row[:width]))
            for place, row in enumerate(rows[start + 1 :], start=2)
        ),
    )


def _text(cell: Any) -> str:
    """Write a cell as a maker would: 2.5, 1:30, 2021-03-14."""
    match cell:
        case None:
            text = ""
        case datetime() if cell.year <= SHEET_EPOCH.year + 1:
            clock = timedelta(hours=cell.hour, minutes=cell.minute, seconds=cell.second)
            text = _clock(cell.date() - SHEET_EPOCH + clock)
        case date():
            text = f"{cell:%Y-%m-%d}"
        case timedelta():
            text = _clock(cell)
        case time():
            text = f"{cell:%H:%M:%S}"
        case float():
            text = f"{cell:.6f}".rstrip("0").rstrip(".")
        case _:
            text = " ".join(str(cell).split())
    return text


def _clock(length: timedelta) -> str:
    minutes, seconds = divmod(round(length.total_seconds()), 60)
    return f"{minutes // 60}:{minutes % 60:02}:{seconds:02}"
