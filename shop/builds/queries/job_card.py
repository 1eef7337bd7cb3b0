"""What the card at the bench says of a build, agreed changes and all."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import cast

from django.conf import settings
from django.utils.module_loading import import_string

from inventory.base.calc.units import from_base
from inventory.models import Lot, Material
from inventory.shelf.calc import pictogram_names
from shop.builds.calc import TARGETS, Target, kind_named_in
from shop.builds.queries.needs import BuildNeed, needs_of
from shop.calendar.calc import days_moved
from shop.models import Build, BuildStage, Measure


@dataclass(frozen=True, slots=True, kw_only=True)
class AgreedChange:
    """A change as the bench has to know it; `stages` and `lines` are keys of what it brought.

    `waits` tells that it is paid before it is made and not paid yet: not to be begun.
    """

    number: int
    title: str
    words: str
    agreed_on: date
    days_added: int
    waits: bool
    stages: tuple[int, ...]
    lines: tuple[int, ...]

    @property
    def days_words(self) -> str:
        """By how much the instrument is ready later or earlier; nothing where it is neither."""
        return days_moved(self.days_added)


AgreedChanges = dict[int, tuple[AgreedChange, ...]]
"""Changes by the key of their build, in the order in which they were agreed."""


def agreed_changes_of(builds: Collection[Build], on: date) -> AgreedChanges:
    """Return what was agreed about `builds` since, as it stands on the day.

    Orders are kept by an app that this one doesn't know: the settings name where to ask.
    """
    return cast(AgreedChanges, import_string(settings.CHANGES_OF_BUILDS)(builds, on))


SHEET = "Read the data sheet."


@dataclass(frozen=True, slots=True, kw_only=True)
class CardNeed:
    """Something to take off the shelf: how much, and where it lies.

    `found` names the pieces put aside, or else the oldest lot, each with its place; `brought_by` is
    the number of the change that it came with.
    """

    name: str
    material: str
    quantity: Decimal | None
    unit: str
    brought_by: int | None
    found: tuple[str, ...]
    is_drawn: bool


@dataclass(frozen=True, slots=True)
class Caution:
    """What to beware of; `about` names the material, or is empty for the stage itself."""

    about: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CardStage:
    """One stage, or without a `stage` what belongs to none."""

    stage: BuildStage | None
    brought_by: int | None
    waiting_for: str
    needs: tuple[CardNeed, ...]
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class JobCard:
    """The whole card. `targets` are common practice for the kind of instrument, if it is known.

    `changes` were agreed since it was ordered.
    """

    build: Build
    changes: tuple[AgreedChange, ...]
    stages: tuple[CardStage, ...]
    kind: str
    targets: tuple[tuple[str, Target], ...]

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What to beware of in the stages still to come, each once, in the order of the work."""
        ahead = (one for one in self.stages if not (one.stage and one.stage.finished_at))
        return tuple(dict.fromkeys(caution for one in ahead for caution in one.cautions))

    def numbers_of(self, one: CardStage) -> str:
        """Return the numbers of a stage's cautions among all; nothing where it is done."""
        if one.stage and one.stage.finished_at:
            return ""
        return ", ".join(str(self.cautions.index(caution) + 1) for caution in one.cautions)

    @property
    def numbered(self) -> tuple[tuple[CardStage, str], ...]:
        """The stages, each with the numbers of its cautions."""
        return tuple((one, self.numbers_of(one)) for one in self.stages)

    @property
    def loose(self) -> CardStage | None:
        """What belongs to no stage."""
        return next((one for one in self.stages if one.stage is None), None)


def job_card_of(build: Build, on: date) -> JobCard:
    """Return the card of `build` on the day, in 13 queries at most whatever its length."""
    stages: list[BuildStage | None] = list(build.stages.select_related("template_stage"))
    needs = needs_of([build])
    keys = {key for need in needs for key in _materials_of(need)}
    materials = Material.objects.filter(pk__in=keys).select_related("species").in_bulk()
    places = _oldest_places(needs)
    changes = agreed_changes_of([build], on).get(build.pk, ())
    brought = _brought(changes)
    kind = kind_named_in(f"{build.title} {build.template or ''}")
    return JobCard(
        build=build,
        changes=changes,
        stages=tuple(
            _stage(stage, of_stage, materials, places, brought)
            for stage in [*stages, None]
            if (of_stage := [need for need in needs if need.line.stage == stage]) or stage
        ),
        kind=kind,
        targets=tuple((str(Measure(key).label), aim) for key, aim in TARGETS.get(kind, {}).items()),
    )


@dataclass(frozen=True, slots=True)
class Brought:
    """Which change brought a stage or a line, by their keys."""

    stages: dict[int, int]
    lines: dict[int, int]


def _brought(changes: Iterable[AgreedChange]) -> Brought:
    changes = tuple(changes)
    return Brought(
        stages={key: change.number for change in changes for key in change.stages},
        lines={key: change.number for change in changes for key in change.lines},
    )


def _stage(
    stage: BuildStage | None,
    needs: Sequence[BuildNeed],
    materials: dict[int, Material],
    places: dict[int, str],
    brought: Brought,
) -> CardStage:
    pattern = stage.template_stage if stage else None
    used = {key: materials[key] for need in needs for key in _materials_of(need)}
    own = [Caution("", pattern.caution)] if pattern and pattern.caution else []
    return CardStage(
        stage=stage,
        brought_by=brought.stages.get(stage.pk) if stage else None,
        waiting_for=pattern.waiting_for if pattern else "",
        needs=tuple(_need(need, places, brought.lines.get(need.line.pk)) for need in needs),
        cautions=(*own, *_cautions(used.values())),
    )


def _materials_of(need: BuildNeed) -> Iterable[int]:
    """Return what a line takes: its material, and those of pieces that stand in for it."""
    own = need.line.material_id
    return dict.fromkeys([*([own] if own else []), *(lot.material_id for lot in need.pieces)])


def _need(need: BuildNeed, places: dict[int, str], brought_by: int | None) -> CardNeed:
    line, material = need.line, need.line.material
    if material is None:
        pattern = line.template_line
        quantity, unit = (pattern.quantity, pattern.unit) if pattern else (None, "")
        return CardNeed(
            name=line.name,
            material="",
            quantity=quantity,
            unit=unit,
            brought_by=brought_by,
            found=(),
            is_drawn=False,
        )
    found = tuple(
        _where(lot) if lot.material_id == material.pk else f"{_where(lot)}: {lot.material}"
        for lot in need.pieces
    )
    if not found and not material.is_piece and need.still_needed:
        found = (places[material.pk],) if material.pk in places else ()
    return CardNeed(
        name=line.name,
        material="" if material.name == line.name else material.name,
        quantity=from_base(line.to_draw, material.unit),
        unit=material.unit,
        brought_by=brought_by,
        found=found,
        is_drawn=not need.still_needed,
    )


def _where(lot: Lot) -> str:
    return f"{lot.number}, {lot.place}" if lot.place else lot.number


def _oldest_places(needs: Iterable[BuildNeed]) -> dict[int, str]:
    """Return where the oldest lot on the shelf lies of each material that is not kept by piece."""
    wanted = {need.line.material_id for need in needs if need.still_needed and need.line.material}
    lots = Lot.objects.filter(material__in=wanted, piece=None, remaining__gt=0)
    found: dict[int, str] = {}
    for lot in lots.select_related("place").order_by("received_on", "pk"):
        found.setdefault(lot.material_id, _where(lot))
    return found


def _cautions(materials: Iterable[Material]) -> Iterable[Caution]:
    for material in materials:
        dust = material.species.dust if material.species else ""
        said = [
            ", ".join(pictogram_names(material.pictograms)),
            material.caution.strip(),
            f"dust: {dust}" if dust else "",
        ]
        words = ". ".join(part.rstrip(".") for part in said if part)
        if words:
            sheet = "" if "data sheet" in words else f" {SHEET}"
            yield Caution(material.name, f"{words}.{sheet}")
