"""The one place where the time of an entry is shared over builds and stages."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from inventory.refusals import Refusal
from shop.calc.splitting import split_by_hand, split_by_likely, split_equally
from shop.models import Build, BuildStage, TimeEntry, TimeShare

EQUAL, LIKELY, BY_HAND = "equal", "likely", "hand"
WAYS = {EQUAL: "equally", LIKELY: "by planned hours", BY_HAND: "by hand"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """What was worked on; `seconds` only where the maker gave this build's part by hand."""

    build: Build
    stage: BuildStage | None = None
    seconds: int | None = None


def check_work(work: Sequence[Work], *, is_billable: bool, reason: str) -> None:
    """Raise Refusal when the entry names no build and no reason, or a stage of another build."""
    if is_billable and not work:
        raise Refusal(
            "Say which build these hours belong to, or why they can't be billed.", field="work"
        )
    if not is_billable and not reason.strip():
        raise Refusal("Say why these hours can't be billed, such as clean-up.", field="reason")
    for one in work:
        if one.stage and one.stage.build_id != one.build.pk:
            raise Refusal(f"{one.stage} is no stage of {one.build}.", field="work")
    if len({(one.build.pk, one.stage and one.stage.pk) for one in work}) < len(work):
        raise Refusal("The same stage of one build is named twice.", field="work")


def share_time(entry: TimeEntry, work: Sequence[Work], split_by: str) -> None:
    """Write the shares of `entry` anew, so that they add up to its seconds; 0 while it runs."""
    seconds = entry.seconds or 0
    try:
        parts = _parts(seconds, work, split_by if entry.seconds is not None else EQUAL)
    except ValueError as error:
        raise Refusal(str(error), field="work") from None
    entry.shares.all().delete()
    TimeShare.objects.bulk_create(
        TimeShare(entry=entry, build=one.build, stage=one.stage, seconds=part)
        for one, part in zip(work, parts, strict=True)
    )


def work_of(entry: TimeEntry) -> list[Work]:
    """Return what `entry` is shared over now, with the seconds of each."""
    shares = entry.shares.select_related("build", "stage")
    return [Work(build=one.build, stage=one.stage, seconds=one.seconds) for one in shares]


def _parts(seconds: int, work: Sequence[Work], split_by: str) -> list[int]:
    if not work:
        return []
    if split_by == BY_HAND:
        return split_by_hand(seconds, [one.seconds or 0 for one in work])
    if split_by == LIKELY:
        planned = [one.stage.hours_planned if one.stage else Decimal(0) for one in work]
        if any(planned):
            return split_by_likely(seconds, planned)
    return split_equally(seconds, len(work))
