"""Pieces of other materials that could stand in for what a line names."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from inventory.models import KeptAs, Material
from shop.calc.proposals import First, Sought
from shop.models import TemplateLine
from shop.queries.proposals import Candidate, shelf_of, sought_by

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
        alike = [each for each in others if each.family_id == material.family_id]
        keys = [each.pk for each in alike if each.pk != material.pk]
        any_wood = _certain(shelf.choose(keys, replace(one, wood=""), 0, first).others)
        if not one.wood:
            return StandIns(other_wood=any_wood)
        like_wood = _certain(shelf.choose(keys, one, 0, first).others)
        return StandIns(like_wood=like_wood, other_wood=_without(any_wood, like_wood, one))

    return [
        find(one, material) if one.has_size else StandIns()
        for one, (_, material) in zip(sought, asked, strict=True)
    ]


def _certain(candidates: Iterable[Candidate]) -> tuple[Candidate, ...]:
    return tuple(one for one in candidates if one.is_certain)


def _without(
    candidates: Iterable[Candidate], alike: Iterable[Candidate], sought: Sought
) -> tuple[Candidate, ...]:
    """Leave out those of like wood; say of the others which wood they are, before their reason."""
    known = {one.piece.pk for one in alike}
    others = [one for one in candidates if one.piece.pk not in known]
    return tuple(replace(one, reason=f"{_wood(one, sought)}; {one.reason}") for one in others)


def _wood(candidate: Candidate, sought: Sought) -> str:
    species = candidate.lot.material.species
    return f"{species.name}, not {sought.wood}" if species else "wood not known"
