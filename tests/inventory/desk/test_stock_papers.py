"""Papers of the stock: sizes, words that can be searched, tags, and what a blind count hides."""

from decimal import Decimal
from io import BytesIO

import pytest
from django.urls import reverse
from pypdf import PdfReader

from inventory.counting.queries import lines_of
from inventory.counting.services import record_count, start_count
from inventory.models import Count, KeptAs, Lot, Place, Workshop
from inventory.purchasing.services.orders import ToOrder, make_orders
from tests.factories import NOW, make_material, make_supplier
from tests.inventory.stocked import stocked, stocked_pieces

LETTER, A4 = [216, 279], [210, 297]


def read(answer):
    assert answer["Content-Type"] == "application/pdf"
    return PdfReader(BytesIO(answer.content))


def words(pdf):
    return " ".join(" ".join(page.extract_text().split()) for page in pdf.pages)


def size(pdf):
    return [round(float(side) / 72 * 25.4) for side in pdf.pages[0].mediabox[2:]]


def tags(pdf):
    """Every tag of the structure tree with its words for who can't see it."""
    found, open_nodes = [], [pdf.trailer["/Root"]["/StructTreeRoot"]]
    while open_nodes:
        node = open_nodes.pop()
        node = node.get_object() if hasattr(node, "get_object") else node
        if isinstance(node, list):
            open_nodes += node
        elif hasattr(node, "get"):
            found.append((node.get("/S"), node.get("/Alt")))
            open_nodes += [node["/K"]] if "/K" in node else []
    return found


@pytest.fixture
def count(desk):
    stocked(quantity=12)
    stocked_pieces(2)
    return start_count(name="Everything", now=NOW)


def test_a_blind_sheet_hides_what_the_books_say_until_the_count_is_closed(desk, count):
    Count.objects.update(is_blind=True)
    open_sheet = words(read(desk.get(reverse("count_pdf", args=[count.pk]))))
    assert "Recorded" not in open_sheet
    assert all(line.lot.number in open_sheet for line in count.lines.all())
    Count.objects.update(closed_at=NOW)
    assert "Recorded" in words(read(desk.get(reverse("count_pdf", args=[count.pk]))))


def test_what_has_no_place_is_counted_last(desk, count):
    first, last = count.lines.first(), count.lines.last()
    Lot.objects.filter(pk=first.lot_id).update(place=Place.objects.create(name="Top shelf"))
    sheet = words(read(desk.get(reverse("count_pdf", args=[count.pk]))))
    assert sheet.index("Top shelf") < sheet.index("No place") < sheet.index(last.lot.number)
    assert lines_of(count).first() == first


def test_a_closed_sheet_says_what_was_found_and_why(desk, count):
    line = count.lines.exclude(material__kept_as=KeptAs.PIECE).get()
    record_count(line=line, counted=Decimal(9), reason="broken", note="fell")
    Count.objects.update(closed_at=NOW)
    assert "broken: fell" in words(read(desk.get(reverse("count_pdf", args=[count.pk]))))


def test_paper_is_letter_where_offices_use_it(desk, count):
    address = reverse("count_pdf", args=[count.pk])
    assert size(read(desk.get(address))) == A4
    Workshop.objects.update(country="US")
    assert size(read(desk.get(address))) == LETTER
    numbers = count.lines.values_list("lot__number", flat=True)
    assert size(read(desk.get(reverse("labels_pdf"), {"n": list(numbers)}))) == LETTER


def test_a_long_order_repeats_its_head_and_keeps_its_total_with_a_line(desk):
    supplier = make_supplier()
    lines = [
        ToOrder(
            material=make_material(f"Screw of {number} mm", KeptAs.COUNT, supplier=supplier),
            quantity=Decimal(number),
            price=Decimal("0.125"),
        )
        for number in range(1, 61)
    ]
    (order,) = make_orders(lines=lines, on=NOW.date())
    pdf = read(desk.get(reverse("order_pdf", args=[order.pk])))
    pages = [" ".join(page.extract_text().split()) for page in pdf.pages]
    assert len(pages) == 2
    assert all("Unit price" in page for page in pages)
    assert "Screw of" in pages[-1]
    assert "0.125" in pages[0]
    assert "Draft, not yet ordered" in pages[0]


def test_every_code_on_a_label_says_what_it_is(desk):
    _, lots = stocked_pieces(2)
    pdf = read(desk.get(reverse("labels_pdf"), {"n": [lot.number for lot in lots]}))
    said = {alt for tag, alt in tags(pdf) if tag == "/Figure"}
    assert said == {f"Code of {lot.number}" for lot in lots}


def test_a_table_for_a_spreadsheet_is_ready_to_read_and_to_print(desk):
    from openpyxl import load_workbook

    stocked(name="Sitka spruce top, mandolin, quartersawn", price="1234.50")
    answer = desk.get(reverse("value_file", args=["xlsx"]))
    sheet = load_workbook(BytesIO(b"".join(answer.streaming_content))).active
    head = {cell.value: cell for cell in sheet[1]}
    assert sheet.freeze_panes == "A2"
    assert sheet.print_title_rows == "$1:$1"
    assert sheet.sheet_properties.pageSetUpPr.fitToPage
    width = sheet.column_dimensions[head["material"].column_letter].width
    assert width > len("Sitka spruce top, mandolin, quartersawn")
    cost = sheet[head["cost"].column_letter][1]
    assert (cost.value, cost.number_format) == (1234.5, "#,##0.00")
