"""Papers: their faces are embedded and their own, and a page is saved by setting them smaller."""

from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal
from io import BytesIO

import pytest
from pypdf import PdfReader

from inventory.base.documents import face_rules, fitted, paper_faces

ROWS = (
    '<html lang="en"><title>Rows</title><style>@page {{ size: A4; margin: 20mm }}</style>{}</html>'
)


def rows(count):
    return ROWS.format("<p>Top, spruce</p>" * count)


@pytest.mark.parametrize(
    ("count", "pages", "scale"),
    [(10, 1, "1"), (30, 1, "0.9"), (40, 2, "1"), (200, 8, "1")],
    ids=["fits", "fits smaller", "never fits", "long"],
)
def test_one_page_is_saved_by_setting_a_paper_smaller(count, pages, scale):
    document, at = fitted(rows(count), goal=1)
    assert (len(document.pages), at) == (pages, Decimal(scale))


def test_a_smaller_paper_is_printed_on_the_same_sheet():
    document, scale = fitted(rows(30), goal=1)
    (page,) = PdfReader(BytesIO(document.write_pdf(zoom=float(scale)))).pages
    assert [round(float(side)) for side in page.mediabox[2:]] == [595, 842]


def test_without_a_goal_nothing_is_set_smaller():
    assert fitted(rows(30), goal=0)[1] == 1


def test_every_cut_of_a_face_is_there():
    assert face_rules().count("@font-face") == 6
    document, _ = fitted('<p style="font-family: Source Serif Pro">a</p>', goal=0)
    fonts = PdfReader(BytesIO(document.write_pdf())).pages[0]["/Resources"]["/Font"]
    assert [str(font["/BaseFont"])[8:] for font in fonts.values()] == ["Source-Serif-Pro"]


def test_faces_are_made_once_for_each_thread_and_shared_by_none():
    """Each that is made keeps 0.3 MB for good; a hundred labels kept 29 MB."""
    here = paper_faces()
    assert paper_faces() is here
    with ThreadPoolExecutor(1) as pool:
        assert pool.submit(paper_faces).result() is not here
