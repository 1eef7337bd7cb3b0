"""The clock of a device beside the server's: what it told, put right by how far it is off."""

from dataclasses import dataclass
from datetime import datetime, timedelta

TOLERATED = timedelta(seconds=60)
"""A difference up to this much is the time that a message takes, not a wrong clock."""

STEP = timedelta(minutes=1)
"""Skew is noted in whole minutes, so that two taps told in two messages stay as far apart."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """An instant by the server's clock, and the same by the device's if one told it."""

    at: datetime
    device_at: datetime | None = None
    skew_seconds: int = 0


def to_server_time(told: datetime, *, sent: datetime | None, received: datetime) -> Moment:
    """Return when `told` was by the server's clock.

    `sent` is the device's clock as the message left it and `received` the server's as it came in;
    their difference is the skew. Without `sent` the device's clock is taken as right. Nothing
    happened after it was told: a later instant becomes `received`.
    """
    difference = received - sent if sent else timedelta(0)
    skew = round(difference / STEP) * STEP if abs(difference) > TOLERATED else timedelta(0)
    return Moment(
        at=min(told + skew, received),
        device_at=told,
        skew_seconds=round(skew.total_seconds()),
    )
