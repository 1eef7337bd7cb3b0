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
    wood = f"{species.name}, not {sought.wood}" if species else "wood not known"
    return replace(candidate, reason=f"{wood}; {candidate.reason}")
