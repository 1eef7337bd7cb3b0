"""Long tables go out as workbooks row by row: years of them never lie in memory."""

import tracemalloc
from decimal import Decimal
from io import BytesIO

import pytest
from openpyxl import load_workbook

from inventory.base.tables import PART, csv_parts, write_table

pytestmark = pytest.mark.django_db
MB = 1_000_000


def lines(count):
    for number in range(count):
        yield {"number": f"T-{number:06}", "note": f"={number}", "cost": Decimal(number) / 100}


def most_memory(act):
    tracemalloc.start()
    try:
        act()
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


def test_a_workbook_of_thrice_the_rows_needs_little_more_memory():
    write_table(lines(1), "xlsx")
    few = most_memory(lambda: write_table(lines(PART), "xlsx"))
    many = most_memory(lambda: write_table(lines(3 * PART), "xlsx"))
    assert many - few < 1 * MB


def test_csv_is_sent_while_it_is_written():
    parts = csv_parts(lines(3 * PART))
    assert len(next(parts).splitlines()) == PART + 1


def test_every_row_stands_in_the_workbook_beyond_those_that_set_the_widths():
    sheet = load_workbook(BytesIO(write_table(lines(PART + 5), "xlsx"))).active
    assert sheet.max_row == PART + 6
    last = sheet[sheet.max_row]
    assert [cell.value for cell in last] == ["T-002004", "'=2004", 20.04]
    assert last[2].number_format == "#,##0.00"
    assert sheet.freeze_panes == "A2"


def test_a_table_without_rows_is_an_empty_workbook():
    assert load_workbook(BytesIO(write_table([], "xlsx"))).active.max_row == 1
