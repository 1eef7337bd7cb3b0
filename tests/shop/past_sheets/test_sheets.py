"""Files of makers: CSV as spreadsheets write it, XLSX with real days and lengths of time."""

from datetime import date, datetime, time, timedelta
from io import BytesIO

import pytest
from openpyxl import Workbook

from inventory.base.calc.sheets import MOST_BYTES
from inventory.base.refusals import Refusal
from shop.past_sheets.queries import MOST_ROWS, packed, read_file, read_pasted, unpacked


def workbook(*rows, formats=()):
    book = Workbook()
    for row in rows:
        book.active.append(row)
    for place, number_format in formats:
        book.active[place].number_format = number_format
    content = BytesIO()
    book.save(content)
    return content.getvalue()


@pytest.mark.parametrize(
    "content",
    [
        b"Serial;Neck\nM-1;2,5\n",
        b'Serial,Neck\r\nM-1,"2,5"\r\n',
        "\ufeffSerial\tNeck\nM-1\t2,5\n".encode(),
        b"\n\nOld hours;\nSerial;Neck\nM-1;2,5\n",
    ],
    ids=["semicolons", "commas", "tabs with a mark", "a title above"],
)
def test_a_text_file_is_read(content):
    sheet = read_file("old.csv", content)
    assert sheet.headers == ("Serial", "Neck")
    assert [cells for _, cells in sheet.rows] == [("M-1", "2,5")]


def test_names_with_commas_do_not_split_a_sheet_of_semicolons():
    sheet = read_file("old.csv", b"Serial;Neck blank, truss rod, head\nM-1;2,5\nM-2;3,5\n")
    assert sheet.headers == ("Serial", "Neck blank, truss rod, head")


def test_letters_of_an_old_machine_are_read():
    assert read_file("old.csv", "Säge;Stück\n1;2\n".encode("cp1252")).headers == ("Säge", "Stück")


def test_rows_keep_their_number_in_the_file():
    sheet = read_file("old.csv", b"My hours;\n\nSerial;Neck\nM-1;1\n\nM-2;2\n")
    assert [number for number, _ in sheet.rows] == [4, 5, 6]


def test_a_spreadsheet_keeps_days_and_lengths_of_time():
    content = workbook(
        ["Serial", "Finished", "a", "b", "c", "d", "e"],
        ["M-1", date(2021, 3, 14), 2.5, time(1, 30), timedelta(hours=25, minutes=30), 1.0625, 7],
        ["M-2", datetime(2021, 3, 14, 9, 30), None, "1:15", None, None, None],
        formats=[("E2", "[h]:mm"), ("F2", "h:mm")],
    )
    (_, first), (_, second) = read_file("old.xlsx", content).rows
    assert first == ("M-1", "2021-03-14", "2.5", "01:30:00", "25:30:00", "25:30:00", "7")
    assert second == ("M-2", "2021-03-14", "", "1:15", "", "", "")


def test_pasted_rows_are_read():
    assert read_pasted("Serial\tNeck\nM-1\t2:30").rows == ((2, ("M-1", "2:30")),)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "There is no table in it"),
        (b"one line", "There is no table in it"),
        (b"a;b", "There is no table in it"),
        (b"a\0;b\n1;2", "There is no table in it"),
        (b"PK\x03\x04 no spreadsheet", "can't be read as a spreadsheet"),
        (b"x" * (MOST_BYTES + 1), "larger than 2 MB"),
        (b"," * 2000 + b"\n1", "more than any table"),
        (b";".join([b"x"] * 101) + b"\n1;2", "100 columns at most"),
        (b"a;b\n" + b"1;2\n" * (MOST_ROWS + 1), "5000 rows"),
    ],
    ids=["empty", "one line", "header only", "no text", "broken", "large", "far", "wide", "long"],
)
def test_what_is_no_sheet_of_hours_is_refused(content, words):
    with pytest.raises(Refusal, match=words):
        read_file("old", content)


def test_a_form_carries_a_sheet_unchanged():
    sheet = read_pasted('Serial;Neck "fine"\nM-1;2½\n\nÄ;<b>')
    assert unpacked(packed(sheet)) == sheet


@pytest.mark.parametrize(
    "text",
    ["", "{}", "[1]", '{"headers": ["a"], "rows": []}', '{"headers": ["a"], "rows": [[1, []]]}'],
)
def test_a_sheet_that_was_lost_on_the_way_is_told(text):
    with pytest.raises(Refusal, match="not received"):
        unpacked(text)
