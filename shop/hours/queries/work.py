"""What was worked on in one entry."""

from dataclasses import dataclass

from shop.models import Build, BuildStage, TimeEntry


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """What was worked on; `seconds` only where the maker gave this build's part by hand."""

    build: Build
    stage: BuildStage | None = None
    seconds: int | None = None


def work_of(entry: TimeEntry) -> list[Work]:
    """Return what `entry` is shared over now, with the seconds of each."""
    shares = entry.shares.select_related("build", "stage")
    return [Work(build=one.build, stage=one.stage, seconds=one.seconds) for one in shares]
