"""The *ready* rule: wood has settled when its last weighings hardly differ."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.base.calc.steps import as_percent


@dataclass(frozen=True, slots=True, order=True)
class MassReading:
    """One weighing of a piece, in g."""

    on: date
    grams: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadyRule:
    """How still the mass must be: the last `weighings` within `within` of the first of them.

    Weighings less than `days_apart` after the one before count as one, the later: three on one
    evening prove nothing. Usual values (common practice, no source): a week and 0.2 to 0.5 %.
    """

    weighings: int = 3
    within: Decimal = Decimal("0.004")
    days_apart: int = 5

    def __post_init__(self) -> None:
        if self.weighings < 2 or self.within <= 0 or self.days_apart < 0:
            raise ValueError("The ready rule needs two weighings and a tolerance above 0.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """Whether wood is ready, why, and how far its last masses lie apart (None: too few)."""

    ready: bool
    reason: str
    spread: Decimal | None
    counted: tuple[MassReading, ...]


DEFAULT_RULE = ReadyRule()


def ready_verdict(weighings: Sequence[MassReading], rule: ReadyRule = DEFAULT_RULE) -> Verdict:
    """Say whether a piece with these weighings, in any order, is ready under `rule`."""
    counted = counted_weighings(weighings, rule)[-rule.weighings :]
    if len(counted) < rule.weighings:
        return Verdict(ready=False, reason=_too_few(counted, rule), spread=None, counted=counted)
    spread = _spread([weighing.grams for weighing in counted])
    ready = spread <= rule.within
    reason = (
        f"The last {rule.weighings} masses lie within {as_percent(round(spread, 5))} of the "
        f"first of them; {as_percent(rule.within)} is asked for."
    )
    return Verdict(ready=ready, reason=reason, spread=spread, counted=counted)


def counted_weighings(weighings: Sequence[MassReading], rule: ReadyRule) -> tuple[MassReading, ...]:
    """Return the weighings that count, oldest first: the latest, and back from it in steps.

    Of two on one day the one given last counts.
    """
    by_day = {weighing.on: weighing for weighing in weighings}
    counted: list[MassReading] = []
    for weighing in sorted(by_day.values(), reverse=True):
        if not counted or (counted[-1].on - weighing.on).days >= rule.days_apart:
            counted.append(weighing)
    return tuple(reversed(counted))


def _spread(masses: list[Decimal]) -> Decimal:
    first = masses[0]
    return max(abs(mass - first) for mass in masses) / first


def _too_few(counted: Sequence[MassReading], rule: ReadyRule) -> str:
    have = f"{len(counted)} weighing{'' if len(counted) == 1 else 's'}"
    return (
        f"There {'is' if len(counted) == 1 else 'are'} {have} at least {rule.days_apart} days "
        f"apart; {rule.weighings} are needed."
    )
