"""Traces both ways: documents of a piece, where a lot went, what a build is made of."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import OuterRef, Q, QuerySet, Subquery, Sum

from inventory.models import Lot, Paper, Piece, Promise, Reason, StockEntry

DEEPEST = 8
"""Cuts of cuts of cuts: deeper than any board goes."""


def line_of(lot: Lot) -> list[int]:
    """Keys of `lot` and of everything it was cut from, itself first."""
    line = [lot.pk]
    source = lot.cut_from_id
    while source is not None and len(line) < DEEPEST:
        line.append(source)
        source = Lot.objects.filter(pk=source).values_list("cut_from", flat=True).first()
    return line


def papers_of(lot: Lot) -> list[Paper]:
    """Papers of `lot` and of what it was cut from."""
    return list(Paper.objects.filter(lot__in=line_of(lot)).select_related("lot"))


LOT_KEY = "lot:"
Source = tuple[Lot, Decimal | None]
TAKEN = Q(reason__in=(Reason.DRAWN, Reason.RETURNED)) | Q(
    reason=Reason.CORRECTED, about__reason__in=(Reason.DRAWN, Reason.RETURNED)
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Went:
    """Somebody who holds something of a lot: how much, in base units, and by way of which lot."""

    holder: str
    holder_name: str
    lot: Lot
    quantity: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Contained:
    """One lot in a build: how much of it, and how deep below what was drawn itself.

    `depth` 0 was drawn; 1 is what that was cut from or made up of, and so on.
    """

    lot: Lot
    quantity: Decimal | None
    depth: int


def where_it_went(lot: Lot) -> list[Went]:
    """Everyone who holds something of `lot`, of what was cut from it, or made up with it.

    A bad batch of glue leads to every instrument. A few queries for each step away from the lot.
    """
    lots = {lot.pk: lot}
    frontier = [lot]
    for _ in range(DEEPEST):
        frontier = [one for one in _made_of(frontier) if one.pk not in lots]
        if not frontier:
            break
        lots |= {one.pk: one for one in frontier}
    rows = (
        StockEntry.objects.filter(TAKEN, lot__in=lots)
        .exclude(holder="")
        .order_by()
        .values("holder", "lot")
        .annotate(quantity=Sum("quantity"))
    )
    held = [(row["holder"], lots[row["lot"]], -row["quantity"]) for row in rows]
    names = holder_names({holder for holder, _, _ in held})
    return sorted(
        (
            Went(holder=holder, holder_name=names.get(holder, holder), lot=one, quantity=quantity)
            for holder, one, quantity in held
            if quantity > 0
        ),
        key=lambda went: (went.holder_name, went.lot.number),
    )


def contents_of(holder: str) -> list[Contained]:
    """Every lot that `holder` drew and kept, each followed by what it was cut from or made of."""
    rows = (
        StockEntry.objects.filter(TAKEN, holder=holder, lot__isnull=False)
        .order_by()
        .values("lot")
        .annotate(quantity=Sum("quantity"))
    )
    kept = {row["lot"]: -row["quantity"] for row in rows if row["quantity"] < 0}
    lots = _full(Lot.objects.filter(pk__in=kept).values_list("pk", flat=True))
    sources = _sources(lots.values())
    found: list[Contained] = []
    for pk in sorted(lots, key=lambda key: (lots[key].material.name, lots[key].number)):
        found.append(Contained(lot=lots[pk], quantity=kept[pk], depth=0))
        found += _below(pk, sources, 1)
    return found


_namers: list[Callable[[set[str]], dict[str, str]]] = []


def name_holders_by(namer: Callable[[set[str]], dict[str, str]]) -> None:
    """Let `namer` give the names of the keys that it knows, such as `build:12`."""
    _namers.append(namer)


def holder_names(holders: Iterable[str]) -> dict[str, str]:
    """Names by key: as given with a reservation, else as its owner knows it; a lot's its number."""
    keys = set(holders)
    promises = Promise.objects.filter(holder__in=keys).order_by("pk")
    given = dict(promises.values_list("holder", "holder_name"))
    return given | _own_names(keys - given.keys())


def fill_holder_names(entries: Iterable[StockEntry]) -> None:
    """Name the holders of `entries` that have gone without since `with_holder_names`."""
    nameless = [one for one in entries if one.holder and not one.holder_name]  # type: ignore[attr-defined]
    names = _own_names({one.holder for one in nameless})
    for entry in nameless:
        entry.holder_name = names.get(entry.holder, entry.holder)  # type: ignore[attr-defined]


def with_holder_names(entries: QuerySet[StockEntry]) -> QuerySet[StockEntry]:
    """Give each entry the `holder_name` that its holder gave with a promise, if it ever did."""
    names = Promise.objects.filter(holder=OuterRef("holder")).order_by("-pk").values("holder_name")
    return entries.annotate(holder_name=Subquery(names[:1]))


def with_promised_to(entries: QuerySet[StockEntry]) -> QuerySet[StockEntry]:
    """Give each entry `promised_to`: whom the piece that it took is still promised to, if any."""
    held = Promise.objects.filter(lot=OuterRef("lot"), outstanding__gt=0)
    others = held.exclude(holder=OuterRef("holder")).values("holder_name")
    return entries.annotate(promised_to=Subquery(others[:1]))


def _own_names(holders: set[str]) -> dict[str, str]:
    names = {key: key.removeprefix(LOT_KEY) for key in holders if key.startswith(LOT_KEY)}
    for namer in _namers:
        if unknown := holders - names.keys():
            names |= namer(unknown)
    return names


def _made_of(lots: list[Lot]) -> list[Lot]:
    """Lots that were cut from, or made up with, any of `lots`."""
    made = StockEntry.objects.filter(lot__in=lots, reason=Reason.MADE, quantity__lt=0)
    numbers = [key.removeprefix(LOT_KEY) for key in made.values_list("holder", flat=True)]
    rows = Lot.objects.filter(Q(cut_from__in=lots) | Q(number__in=numbers))
    return list(rows.select_related("material"))


def _full(keys: Iterable[int]) -> dict[int, Lot]:
    rows = Lot.objects.select_related(
        "material__species", "material__family", "supplier", "piece", "delivery_line__delivery"
    )
    return rows.prefetch_related("papers").in_bulk(list(keys))


def _sources(lots: Iterable[Lot]) -> dict[int, list[Source]]:
    """By lot, what it was cut from or made up of, and so on down, level by level."""
    sources: dict[int, list[Source]] = {}
    level = {lot.pk: lot for lot in lots}
    for _ in range(DEEPEST):
        parts = _parts_of(level)
        cut = {lot.pk: lot.cut_from_id for lot in level.values() if lot.cut_from_id}
        wanted = set(cut.values()) | {pk for rows in parts.values() for pk, _ in rows}
        if not wanted:
            break
        below = _full(wanted)
        for pk in level:
            rows: list[Source] = [(below[key], quantity) for key, quantity in parts.get(pk, [])]
            source = cut.get(pk)
            if source is not None:
                rows.append((below[source], None))
            if rows:
                sources[pk] = rows
        level = {pk: lot for pk, lot in below.items() if pk not in sources}
    return sources


def _parts_of(level: dict[int, Lot]) -> dict[int, list[tuple[int, Decimal]]]:
    by_number = {lot.number: pk for pk, lot in level.items()}
    rows = (
        StockEntry.objects.filter(
            reason=Reason.MADE,
            quantity__lt=0,
            lot__isnull=False,
            holder__in=[f"{LOT_KEY}{number}" for number in by_number],
        )
        .order_by()
        .values_list("holder", "lot")
        .annotate(quantity=Sum("quantity"))
    )
    parts: dict[int, list[tuple[int, Decimal]]] = {}
    for holder, lot, quantity in rows:
        parts.setdefault(by_number[holder.removeprefix(LOT_KEY)], []).append((lot, -quantity))
    return parts


def _below(pk: int, sources: dict[int, list[Source]], depth: int) -> list[Contained]:
    found = []
    for lot, quantity in sources.get(pk, []) if depth <= DEEPEST else []:
        found.append(Contained(lot=lot, quantity=quantity, depth=depth))
        found += _below(lot.pk, sources, depth + 1)
    return found


def sisters_of(piece: Piece) -> list[Lot]:
    """Pieces on the shelf from the same log or billet as `piece`, or cut from the same board."""
    rows = Lot.objects.filter(remaining__gt=0).exclude(pk=piece.pk).select_related("material")
    if piece.is_half:
        rows = rows.exclude(cut_from=piece.lot.cut_from_id)
    if piece.log:
        return list(rows.filter(piece__log__iexact=piece.log)[:20])
    if piece.lot.cut_from_id:
        return list(
            rows.filter(cut_from=piece.lot.cut_from_id, material=piece.lot.material_id)[:20]
        )
    return []


def split_of(piece: Piece) -> StockEntry | None:
    """The entry that made `piece` a part of a set that was split; none where it is whole."""
    if not piece.is_half:
        return None
    return piece.lot.entries.filter(reason=Reason.SPLIT, quantity__gt=0).order_by("pk").last()


def other_halves(piece: Piece) -> list[Lot]:
    """The other parts of the set that `piece` was split from, wherever they are by now."""
    if not piece.is_half:
        return []
    rows = Lot.objects.filter(cut_from=piece.lot.cut_from_id, piece__is_half=True)
    return list(rows.exclude(pk=piece.pk).select_related("piece").order_by("number"))
