"""What a shop is to its queue: builds made of stages, hands, and things there is a number of."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field


class QueueError(ValueError):
    """What the queue was told can't be laid out; the sentence says what and where."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Take:
    """`units` of a thing, held from the start of a stage.

    until: the key of the stage whose end gives them back; empty: the stage itself. through_wait:
    they are held through the waiting after that stage too.
    """

    thing: str
    units: int = 1
    until: str = ""
    through_wait: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """What is left of one stage: hands-on minutes, then calendar days of waiting.

    after: keys of the stages of the same build that come before it; those that are not there are
    done. most_wait: what follows has to begin within so many days of its end. not_before: the
    earliest day, counted from today; `blocked_by` says why.
    """

    key: str
    name: str
    minutes: float
    wait: int = 0
    most_wait: int | None = None
    after: tuple[str, ...] = ()
    takes: tuple[Take, ...] = ()
    not_before: int = 0
    blocked_by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One build in the queue, with the stages that are left of it.

    due: the promised day, counted from today. holds: things that it has now. weight: what a day
    of lateness counts in a search.
    """

    key: str
    stages: tuple[Stage, ...]
    due: int | None = None
    holds: tuple[Take, ...] = ()
    weight: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """Minutes of each pair of hands on every day from today on, and how many of each thing."""

    hands: Sequence[Sequence[float]]
    things: Mapping[str, int] = field(default_factory=dict)
