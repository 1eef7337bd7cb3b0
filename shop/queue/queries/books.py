"""What the queue is worked out from, read from the books."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING

from django.db.models import Exists, F, OuterRef, Prefetch

from shop.builds.queries.needs import Shortage
from shop.models import OPEN_STATES, Build, BuildStage
from shop.queue.calc.records import Job, Shop
from shop.queue.queries.reading import Reading
from shop.queue.queries.shop_now import shared_doubts, shop_now

if TYPE_CHECKING:
    from shop.queue.calc.draws import BuildGuess, ShopGuess

NOT_IN_A_BOOK = -1

IN_ORDER = (F("queue_place__position").asc(nulls_last=True), "made_on", "pk")
"""The order of the queue: where the maker moved builds, else by the day entered."""


@dataclass(frozen=True, slots=True, kw_only=True)
class QueueBooks:
    """Everything that the queue is worked out from, as of the day `on`; builds in their order.

    notes: of a build's key, what has to be said of its figures. shortages: what builds lack.
    """

    on: date
    builds: tuple[Build, ...]
    jobs: tuple[Job, ...]
    guesses: "tuple[BuildGuess, ...]"
    shop: Shop
    shared: "ShopGuess"
    notes: Mapping[str, str]
    shortages: Sequence[Shortage]

    def in_order(self, keys: Sequence[str]) -> "QueueBooks":
        """Return the books with builds in the order of `keys`; those not named are left out."""
        at = {job.key: place for place, job in enumerate(self.jobs)}
        places = [at[key] for key in keys if key in at]
        return replace(
            self,
            builds=tuple(self.builds[place] for place in places if place < len(self.builds)),
            jobs=tuple(self.jobs[place] for place in places),
            guesses=tuple(self.guesses[place] for place in places),
        )


def queued_builds() -> list[Build]:
    """Return open builds in the order of the queue."""
    rows = (
        Build.objects.filter(state__in=OPEN_STATES)
        .select_related("template", "batch", "queue_place")
        .prefetch_related(Prefetch("stages", BuildStage.objects.order_by("position", "pk")))
    )
    return list(rows.order_by(*IN_ORDER))


def place_of(build: Build) -> int | None:
    """Return the place of `build` among what `queue_books` reads, from 1 on; None if not there."""
    left = BuildStage.objects.filter(build=OuterRef("pk"), finished_at=None)
    rows = Build.objects.filter(Exists(left), state__in=OPEN_STATES)
    keys = list(rows.order_by(*IN_ORDER).values_list("pk", flat=True))
    return keys.index(build.pk) + 1 if build.pk in keys else None


def queue_books(on: date) -> QueueBooks:
    """Read the queue as of the day `on`: about 20 queries, and eight for each pattern in it."""
    builds = queued_builds()
    reading = Reading(on, builds)
    rows = [(build, reading.of(build)) for build in builds]
    rows = [(build, found) for build, found in rows if found[0].stages]
    return QueueBooks(
        on=on,
        builds=tuple(build for build, _ in rows),
        jobs=tuple(found[0] for _, found in rows),
        guesses=tuple(found[1] for _, found in rows),
        shop=shop_now(on),
        shared=shared_doubts(on),
        notes=reading.notes,
        shortages=reading.shortages,
    )


def read_build(build: Build, stages: Sequence[BuildStage], on: date) -> "tuple[Job, BuildGuess]":
    """Read a build that is in no book yet, as the queue would read it once it is."""
    build.pk = NOT_IN_A_BOOK
    for number, stage in enumerate(stages, start=1):
        stage.pk = -number
    build._prefetched_objects_cache = {"stages": list(stages)}  # type: ignore[attr-defined]
    return Reading(on, [build]).of(build)
