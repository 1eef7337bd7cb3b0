"""Labels for pieces: number, what it is, and a code that is the piece's address."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

import segno
from django.db.models import QuerySet

from inventory.base.documents import PAPERS_MM, page_size, write_pdf
from inventory.base.queries import stock_rules
from inventory.base.wood_units import mass_words, size_words
from inventory.models import Lot, StockRules, Workshop

MOST_LABELS = 400


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """What one label says; `address` is what its code opens."""

    number: str
    words: str
    facts: str
    address: str

    @property
    def code(self) -> str:
        """The code as SVG in a viewBox of its own, black on white, with its quiet zone."""
        drawn: str = segno.make(self.address, error="m", micro=False).svg_inline(
            border=4,
            omitsize=True,
            svgclass="code",
            lineclass=None,
            dark="#000",
            title=f"Code of {self.number}",
        )
        return drawn


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelSheet:
    """How labels lie on a sheet, in mm, as the maker measured it; `paper` is A4 or Letter."""

    columns: int
    rows: int
    width: Decimal
    height: Decimal
    left: Decimal
    top: Decimal
    gap_across: Decimal
    gap_down: Decimal
    paper: str = "A4"

    @property
    def code_mm(self) -> Decimal:
        """The side of the code: as large as the label lets it be beside its words."""
        return min(self.height - 2, self.width * Decimal("0.45"), Decimal(30))

    @property
    def letters(self) -> Decimal:
        """How large the words are set: 1 on a label 34 mm high and 30 mm wide beside its code."""
        beside = (self.width - self.code_mm) / 30
        return round(max(Decimal("0.5"), min(Decimal("1.3"), self.height / 34, beside)), 2)


@dataclass(frozen=True, slots=True)
class Placed:
    """A label and where its upper left corner lies on its page, in mm."""

    label: Label
    left: Decimal
    top: Decimal


def place_labels(labels: Sequence[Label], sheet: LabelSheet, skip: int = 0) -> list[list[Placed]]:
    """Return pages of placed labels, the first `skip` places of the first page left free."""
    per_page = sheet.columns * sheet.rows
    pages: dict[int, list[Placed]] = {}
    for place, label in enumerate(labels, start=skip):
        page, on_page = divmod(place, per_page)
        down, across = divmod(on_page, sheet.columns)
        pages.setdefault(page, []).append(
            Placed(
                label,
                sheet.left + across * (sheet.width + sheet.gap_across),
                sheet.top + down * (sheet.height + sheet.gap_down),
            )
        )
    return [pages[page] for page in sorted(pages)]


def label_of(lot: Lot, address: str) -> Label:
    """Return what the label of `lot` says; its code opens `address`."""
    return Label(
        number=lot.number,
        words=lot.material.name,
        facts=_facts(lot),
        address=address,
    )


def _facts(lot: Lot) -> str:
    words = []
    if lot.material.is_piece:
        piece = lot.piece
        sizes = [piece.length_mm, piece.width_mm, piece.thickness_mm]
        words += [size_words(*sizes)] if all(sizes) else []
        words += [mass_words(piece.mass_g)] if piece.mass_g else []
        words += [piece.grade] if piece.grade else []
    if lot.expires_on:
        words.append(f"expires {lot.expires_on.day} {lot.expires_on:%b %Y}")
    words.append(f"received {lot.received_on.day} {lot.received_on:%b %Y}")
    return ", ".join(words)


def numbered_lots() -> QuerySet[Lot]:
    """Return lots with all that a label says."""
    return Lot.objects.select_related("material", "piece").order_by("number")


def sheet_now() -> LabelSheet:
    """Return the grid of labels that the shop has set."""
    rules: StockRules = stock_rules()
    return LabelSheet(
        columns=rules.label_columns,
        rows=rules.label_rows,
        width=rules.label_width_mm,
        height=rules.label_height_mm,
        left=rules.label_left_mm,
        top=rules.label_top_mm,
        gap_across=rules.label_gap_across_mm,
        gap_down=rules.label_gap_down_mm,
        paper=paper_now(),
    )


def paper_now() -> str:
    """Return the paper of the shop's country: A4 or Letter."""
    shop = Workshop.objects.first()
    return page_size(shop.country if shop else "")


def label_sheet(labels: Sequence[Label], sheet: LabelSheet, skip: int = 0) -> bytes:
    """Return pages of `labels` as PDF, without leading page when `skip` fills it."""
    context = {
        "pages": place_labels(labels, sheet, skip % (sheet.columns * sheet.rows)),
        "sheet": sheet,
        "paper_mm": PAPERS_MM[sheet.paper],
    }
    return write_pdf("inventory/papers/labels.html", context)


def single_label(label: Label, sheet: LabelSheet) -> bytes:
    """Return one label as a PDF page of its own size."""
    return write_pdf("inventory/papers/label.html", {"label": label, "sheet": sheet})
