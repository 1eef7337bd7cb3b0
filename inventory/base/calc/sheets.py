"""Rows of a spreadsheet that somebody sends or pastes: XLSX, CSV, or cells parted by tabs."""

from io import BytesIO, StringIO
from typing import Any

from inventory.base.refusals import Refusal

MOST_BYTES = 2_000_000
FAR_TOO_WIDE = 1000
SEPARATORS = (";", "\t")
ENCODINGS = ("utf-8-sig", "cp1252")
XLSX_MARK = b"PK"


def rows_of_file(name: str, content: bytes) -> list[list[Any]]:
    """Return every row of the first sheet of an XLSX file, or of a CSV file; blank ones too.

    Cells are text, or what a workbook keeps; empty ones are None, empty or not a number. Raises
    Refusal.
    """
    if len(content) > MOST_BYTES:
        raise Refusal(
            "The file is larger than 2 MB. Save only the sheet that is meant.", field="file"
        )
    return _xlsx_rows(name, content) if content.startswith(XLSX_MARK) else _csv_rows(content)


def rows_of_text(text: str) -> list[list[Any]]:
    """Return the rows pasted from a spreadsheet, or typed with commas. Raises Refusal."""
    if len(text) > MOST_BYTES:
        raise Refusal("That is more than 2 MB. Paste fewer rows.", field="pasted")
    return _separated_rows(text)


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
    raise Refusal("The file is not text. Save it as XLSX or CSV.", field="file")


def _separated_rows(text: str) -> list[list[Any]]:
    import pandas as pd

    if "\0" in text or not text.strip():
        raise Refusal("There is no table in it. The first row must name the columns.")
    lines = text.splitlines()
    separator = next((one for one in SEPARATORS if _is_in_half(one, lines)), ",")
    widest = max(line.count(separator) for line in lines) + 1
    if widest > FAR_TOO_WIDE:
        raise Refusal(f"One row has {widest} cells, more than any table. Send other rows.")
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
