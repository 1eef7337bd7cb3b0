"""Pieces that would do for a line, its own material first, stand-ins after."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import reduce
from operator import or_

from django.db.models import Prefetch, Q, QuerySet

from inventory.base.queries import stock_rules
from inventory.models import (
    SHELF_STATES,
    KeptAs,
    Lot,
    Material,
    MoistureReading,
    Piece,
    PieceState,
    Promise,
    StockRules,
    Weighing,
)
from inventory.wood.calc.drying import forecast_ready
from inventory.wood.calc.seasoning import MassReading
from inventory.wood.queries import ready_rule, wood_of
from shop.models import TemplateLine
from shop.pieces.calc import First, Proposal, ShelfPiece, Sought, propose_pieces

MOST_FORECASTS = 20
"""Of so many pieces it is worked out when they will be ready; each takes some milliseconds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A piece that was looked at, and in words why it is the one, or why it is not.

    `is_taken` says that it is promised to somebody else, or unfit: nobody can be promised it.
    """

    piece: Piece
    reason: str
    is_certain: bool
    is_taken: bool

    @property
    def lot(self) -> Lot:
        return self.piece.lot


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidates:
    """Every piece of a material that lies on the shelf: see `shop.pieces.calc.Choice`."""

    sought: Sought
    first: First
    proposed: tuple[Candidate, ...]
    others: tuple[Candidate, ...]
    passed_over: tuple[Candidate, ...]

    @property
    def free(self) -> tuple[Candidate, ...]:
        """Those that would do, the best first."""
        return (*self.proposed, *self.others)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """The pieces of some materials as they lie on the day `on`; gathered once, it serves any line.

    `preference` is the shop's own, for whoever has none of their own.
    """

    on: date
    preference: First
    pieces: Mapping[int, Piece]
    plain: Mapping[int, Sequence[ShelfPiece]]

    def candidates(
        self,
        line: TemplateLine | None,
        material: Material,
        wanted: int = 1,
        first: First | None = None,
    ) -> Candidates:
        """Look at every piece of `material` for `line`."""
        sought = sought_by(line, material)
        return self.choose([material.pk], sought, wanted, first)

    def choose(
        self, materials: Iterable[int], sought: Sought, wanted: int, first: First | None
    ) -> Candidates:
        """Look at every piece of `materials`."""
        pieces = [piece for key in materials for piece in self.plain.get(key, ())]
        preference = first or self.preference
        choice = propose_pieces(pieces, wanted, sought=sought, on=self.on, first=preference)
        return Candidates(
            sought=sought,
            first=preference,
            proposed=self._found(choice.proposed),
            others=self._found(choice.others),
            passed_over=self._found(choice.passed_over),
        )

    def _found(self, proposals: Iterable[Proposal]) -> tuple[Candidate, ...]:
        return tuple(
            Candidate(
                piece=self.pieces[one.piece.key],
                reason=one.reason,
                is_certain=one.is_certain,
                is_taken=bool(one.piece.taken_by or one.piece.unfit),
            )
            for one in proposals
        )


def sought_by(line: TemplateLine | None, material: Material | None) -> Sought:
    """Return what a piece has to meet for `line`.

    Where the maker has named another material than the template does, its wood goes.
    """
    if line is None:
        return Sought()
    is_as_planned = line.material_id is None or material is None or line.material_id == material.pk
    return Sought(
        wood=line.wood if is_as_planned else "",
        length_mm=line.piece_length_mm or line.cut_length_mm,
        width_mm=line.piece_width_mm,
        thickness_mm=line.piece_thickness_mm,
        parts=line.piece_parts,
    )


def shelf_of(
    materials: Iterable[Material],
    *,
    on: date,
    holder: str = "",
    at_least: Iterable[Sought] = (),
) -> Shelf:
    """Gather every piece of `materials` in six queries, photos and all.

    With the days on which seasoning pieces are expected to be ready; loads SciPy where one has
    weighings enough. What is promised to `holder` counts as free. With `at_least` only pieces that
    are known to be as large as one of these.
    """
    rows = _on_shelf({material.pk for material in materials})
    large = reduce(or_, (_as_large_as(sought) for sought in at_least), Q())
    rows = rows.filter(large)
    readings = Prefetch(
        "lot__moisture_readings",
        MoistureReading.objects.filter(is_crossed_out=False),
        to_attr="standing_readings",
    )
    return _shelf(rows.prefetch_related("lot__photos", readings), on, holder, with_days=True)


def _as_large_as(sought: Sought) -> Q:
    sizes = ("length_mm", "width_mm", "thickness_mm")
    asked = {f"{name}__gte": getattr(sought, name) for name in sizes if getattr(sought, name)}
    return Q(**asked)


def proposed_pieces(
    line: TemplateLine | None,
    material: Material,
    wanted: int,
    *,
    on: date,
    first: First | None = None,
) -> list[Lot]:
    """Return at most `wanted` free pieces of `material` for `line`, the best first. 4 queries."""
    shelf = _shelf(_on_shelf({material.pk}), on, "", with_days=False)
    return [one.lot for one in shelf.candidates(line, material, wanted, first).proposed]


def _on_shelf(materials: Collection[int]) -> QuerySet[Piece]:
    open_promises = Prefetch(
        "lot__promises", Promise.objects.filter(outstanding__gt=0), to_attr="open_promises"
    )
    rows = Piece.objects.filter(lot__material__in=materials, lot__remaining__gt=0)
    related = rows.select_related("lot__material__species", "lot__place")
    return related.prefetch_related(open_promises)


def _shelf(rows: QuerySet[Piece], on: date, holder: str, *, with_days: bool) -> Shelf:
    rules = stock_rules()
    pieces = {piece.pk: piece for piece in rows}
    weighings = _weighings_of(pieces)
    plain: dict[int, list[ShelfPiece]] = defaultdict(list)
    forecasts = 0
    for piece in pieces.values():
        of_piece = weighings.get(piece.pk, [])
        asks_for_day = (
            with_days
            and piece.state == PieceState.SEASONING
            and bool(of_piece)
            and forecasts < MOST_FORECASTS
        )
        forecasts += asks_for_day
        about = _ready_about(piece, of_piece, rules) if asks_for_day else None
        is_ready = piece.state == PieceState.READY
        since = (piece.ready_on or piece.lot.received_on) if is_ready else None
        plain[piece.lot.material_id].append(_shelf_piece(piece, holder, since, about))
    preference: First = rules.take_first  # type: ignore[assignment]
    return Shelf(on=on, preference=preference, pieces=pieces, plain=plain)


def _ready_about(piece: Piece, weighings: Sequence[MassReading], rules: StockRules) -> date | None:
    readings = piece.lot.standing_readings  # type: ignore[attr-defined]
    wood = wood_of(piece, rules, readings)
    return forecast_ready(weighings, rule=ready_rule(rules), wood=wood).on


def _shelf_piece(
    piece: Piece, holder: str, ready_since: date | None, ready_about: date | None
) -> ShelfPiece:
    lot, species = piece.lot, piece.lot.material.species
    promises = [one for one in lot.open_promises if one.holder != holder]  # type: ignore[attr-defined]
    return ShelfPiece(
        key=piece.pk,
        number=lot.number,
        is_ready=piece.state == PieceState.READY,
        age_from=lot.received_on,
        ready_since=ready_since,
        ready_about=ready_about,
        species=f"{species.name}, {species.botanical_name}" if species else "",
        called=lot.material.name,
        cost=lot.remaining_cost,
        length_mm=piece.length_mm,
        width_mm=piece.width_mm,
        thickness_mm=piece.thickness_mm,
        parts=piece.parts,
        taken_by=promises[0].holder_name if promises else "",
        unfit="" if piece.state in SHELF_STATES else PieceState(piece.state).label,
    )


def _weighings_of(lots: Collection[int]) -> dict[int, list[MassReading]]:
    """Every weighing of `lots`, the oldest first, in one query."""
    found: dict[int, list[MassReading]] = defaultdict(list)
    rows = Weighing.objects.filter(lot__in=lots, is_crossed_out=False).order_by("weighed_on", "pk")
    for lot, on, grams in rows.values_list("lot", "weighed_on", "grams"):
        found[lot].append(MassReading(on, grams))
    return found


Asked = tuple[TemplateLine | None, Material]
"""A line, and the material that is planned for it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StandIns:
    """Free pieces under other names that are known to be large enough, the best first.

    `like_wood` are of a wood that the line asks for, `other_wood` of another or of none that
    anybody named.
    """

    like_wood: tuple[Candidate, ...] = ()
    other_wood: tuple[Candidate, ...] = ()


def stand_ins(
    line: TemplateLine | None,
    material: Material,
    *,
    on: date,
    first: First | None = None,
    holder: str = "",
) -> StandIns:
    """Find what could stand in for `material` on one line: see `stand_ins_of`."""
    [found] = stand_ins_of([(line, material)], on=on, first=first, holder=holder)
    return found


def stand_ins_of(
    asked: Sequence[Asked], *, on: date, first: First | None = None, holder: str = ""
) -> list[StandIns]:
    """Find what could stand in on each line among the family of its material; six queries.

    Nothing where a line names no size. What is promised to `holder` counts as free.
    """
    sought = [sought_by(line, material) for line, material in asked]
    sized = [one for one in sought if one.has_size]
    if not sized:
        return [StandIns() for _ in asked]
    families = {material.family_id for _, material in asked}
    others = list(
        Material.objects.filter(
            family__in=families, kept_as=KeptAs.PIECE, on_hand__gt=0, is_archived=False
        )
    )
    shelf = shelf_of(others, on=on, holder=holder, at_least=sized)

    def find(one: Sought, material: Material) -> StandIns:
        family = [each for each in others if each.family_id == material.family_id]
        keys = [each.pk for each in family if each.pk != material.pk]
        like_wood = _certain(shelf.choose(keys, one, 0, first).others) if one.wood else ()
        alike = {candidate.lot.material_id for candidate in like_wood}
        rest = [key for key in keys if key not in alike]
        any_wood = _certain(shelf.choose(rest, replace(one, wood=""), 0, first).others)
        other_wood = tuple(_with_wood(candidate, one) for candidate in any_wood)
        return StandIns(like_wood=like_wood, other_wood=other_wood)

    return [
        find(one, material) if one.has_size else StandIns()
        for one, (_, material) in zip(sought, asked, strict=True)
    ]


def _certain(candidates: Iterable[Candidate]) -> tuple[Candidate, ...]:
    return tuple(one for one in candidates if one.is_certain)


def _with_wood(candidate: Candidate, sought: Sought) -> Candidate:
    """Say of a piece which wood it is, where another is asked for, before its own reason."""
    if not sought.wood:
        return candidate
    species = candidate.lot.material.species
    wood = f"{species.name}, not {sought.wood}" if species else "wood not recorded"
    return replace(candidate, reason=f"{wood}; {candidate.reason}")
