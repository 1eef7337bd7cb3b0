"""What can be found: of each kind of row its title, its words, its page, and whose words it takes.

A row's number in the index is its kind's code and its key in one, counted down, so that by their
numbers the newest of a kind come first.
"""

import zlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from django.db.models import Model, Q

from inventory.models import Delivery, Lot, Material, Order, Paper, Species, Supplier
from quotes.models import Change, Client, Commission, Invoice, Payment, Quote
from shop.models import Build, BuildNote, BuildTemplate

KEYS = 40
"""Bits of an index number that hold the key; those above hold the kind."""

Text = tuple[int, str, str, str]
"""Number in the index, what leads to the page, title, words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of row, and where it is shown: at `page`, by `within` and its own `key`.

    `takes` says through which columns it takes words of another kind, `tells` which columns name
    these.
    """

    code: int
    name: str
    model: type[Model]
    page: str
    title: tuple[str, ...]
    words: tuple[str, ...] = ()
    key: str = "pk"
    within: tuple[str, ...] = ()
    tells: tuple[str, ...] = ()
    takes: dict[int, str] = field(default_factory=dict)

    @property
    def table(self) -> str:
        return self.model._meta.db_table

    @property
    def columns(self) -> list[str]:
        """Columns of the table whose change alters what is found."""
        own = [name for name in (*self.title, *self.words) if "__" not in name]
        fields = {field.name: field for field in self.model._meta.concrete_fields}
        return sorted({str(fields[name].column) for name in (*own, *self.tells)})

    @property
    def mark(self) -> str:
        """A short name that changes with what the index holds of this kind."""
        said = repr((self.table, self.title, self.words, self.key, self.columns, self.takes))
        return f"search_{self.code}_{zlib.crc32(said.encode()):08x}"

    @property
    def first(self) -> int:
        return self.code << KEYS

    @property
    def last(self) -> int:
        return (self.code + 1 << KEYS) - 1

    def number(self, key: int) -> int:
        """Return the number in the index of the row with `key`."""
        return self.last - key


CLIENT, COMMISSION, QUOTE, BUILD, MATERIAL, SUPPLIER, SPECIES = 1, 2, 3, 4, 8, 10, 16

KINDS: tuple[Kind, ...] = (
    Kind(
        code=CLIENT,
        name="Clients",
        model=Client,
        page="client",
        title=("name",),
        words=("email", "phone", "address", "tax_number", "note"),
    ),
    Kind(
        code=COMMISSION,
        name="Commissions",
        model=Commission,
        page="commission",
        title=("title",),
        words=("client__name", "note", "cancel_reason"),
        tells=("client",),
        takes={CLIENT: "client"},
    ),
    Kind(
        code=QUOTE,
        name="Quotes",
        model=Quote,
        page="quote",
        title=("number", "title"),
        words=("commission__client__name", "specification", "decline_reason"),
        tells=("commission",),
        takes={CLIENT: "commission__client", COMMISSION: "commission"},
    ),
    Kind(
        code=BUILD,
        name="Builds",
        model=Build,
        page="build",
        title=("serial", "title"),
        words=("quote__commission__client__name", "specification"),
        takes={
            CLIENT: "quote__commission__client",
            COMMISSION: "quote__commission",
            QUOTE: "quote",
        },
    ),
    Kind(
        code=5,
        name="Invoices",
        model=Invoice,
        page="invoice",
        title=("number",),
        words=("commission__client__name", "commission__title", "why"),
        takes={CLIENT: "commission__client", COMMISSION: "commission"},
    ),
    Kind(
        code=6,
        name="Receipts",
        model=Payment,
        page="payment_receipt",
        title=("number",),
        words=("client__name", "commission__title", "note"),
        takes={CLIENT: "client", COMMISSION: "commission"},
    ),
    Kind(
        code=7,
        name="Change orders",
        model=Change,
        page="change",
        title=("title",),
        words=("commission__client__name", "commission__title", "words"),
        takes={CLIENT: "commission__client", COMMISSION: "commission"},
    ),
    Kind(
        code=MATERIAL,
        name="Materials",
        model=Material,
        page="material",
        title=("name",),
        words=("species__name", "species__botanical_name", "note", "caution"),
        tells=("species",),
        takes={SPECIES: "species"},
    ),
    Kind(
        code=9,
        name="Pieces and lots",
        model=Lot,
        page="piece",
        key="number",
        title=("number", "material__name"),
        words=("supplier__name", "note"),
        tells=("supplier",),
        takes={MATERIAL: "material", SUPPLIER: "supplier"},
    ),
    Kind(
        code=SUPPLIER,
        name="Suppliers",
        model=Supplier,
        page="edit_in_list",
        within=("suppliers",),
        title=("name",),
        words=("contact", "note"),
    ),
    Kind(
        code=11,
        name="Purchase orders",
        model=Order,
        page="order",
        title=("number",),
        words=("supplier__name", "note"),
        takes={SUPPLIER: "supplier"},
    ),
    Kind(
        code=12,
        name="Deliveries",
        model=Delivery,
        page="delivery",
        title=("supplier__name", "reference"),
        words=("note",),
        tells=("supplier",),
        takes={SUPPLIER: "supplier"},
    ),
    Kind(
        code=13,
        name="Documents of wood",
        model=Paper,
        page="piece",
        key="lot__number",
        title=("number", "issued_by"),
        words=("lot__number", "lot__material__name", "note"),
    ),
    Kind(
        code=14,
        name="Templates",
        model=BuildTemplate,
        page="template",
        title=("name",),
        words=("description", "note_to_self"),
    ),
    Kind(
        code=SPECIES,
        name="Species",
        model=Species,
        page="edit_in_list",
        within=("species",),
        title=("name", "botanical_name"),
    ),
    Kind(
        code=15,
        name="Notes on builds",
        model=BuildNote,
        page="build",
        key="build_id",
        title=("build__serial", "build__title"),
        words=("text",),
        takes={BUILD: "build"},
    ),
)
"""In the order in which they are shown."""

BY_CODE = {kind.code: kind for kind in KINDS}


def texts_of(kind: Kind, keys: Iterable[int] | None = None) -> Iterator[Text]:
    """Yield what the index holds of the rows with `keys`, or of every row of a kind."""
    rows = kind.model._base_manager.order_by("pk")
    if keys is not None:
        rows = rows.filter(pk__in=list(keys))
    found = rows.values_list("pk", kind.key, *kind.title, *kind.words)
    last = None
    for pk, key, *texts in found.iterator(chunk_size=2000):
        title = _joined(texts[: len(kind.title)], " ")
        if title and pk != last:
            yield kind.number(pk), str(key), title, _joined(texts[len(kind.title) :], " · ")
        last = pk


def takers_of(code: int, keys: list[int]) -> Iterator[tuple[Kind, list[int]]]:
    """Yield the kinds that take words of rows of `code`, with the keys of theirs that do."""
    for kind in KINDS:
        if path := kind.takes.get(code):
            rows = kind.model._base_manager.filter(Q(**{f"{path}__in": keys}))
            yield kind, list(rows.values_list("pk", flat=True))


def _joined(texts: Iterable[str | None], with_what: str) -> str:
    return with_what.join(" ".join(text.split()) for text in texts if text)
