"""A device's clock is put right by how far it is off."""

from datetime import UTC, datetime, timedelta

import pytest

from inventory.base.calc.device_time import Moment, to_server_time

TOLD = datetime(2027, 3, 16, 8, 40, tzinfo=UTC)
SENT = datetime(2027, 3, 16, 16, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("received", "at", "skew"),
    [
        (SENT, TOLD, 0),
        (SENT + timedelta(seconds=45), TOLD, 0),
        (SENT - timedelta(hours=1), TOLD - timedelta(hours=1), -3600),
        (SENT + timedelta(hours=1, seconds=2), TOLD + timedelta(hours=1), 3600),
        (SENT + timedelta(minutes=5, seconds=40), TOLD + timedelta(minutes=6), 360),
    ],
    ids=["right", "slow message", "an hour fast", "an hour slow", "minutes slow"],
)
def test_the_skew_is_noted_and_put_right(received, at, skew):
    moment = to_server_time(TOLD, sent=SENT, received=received)
    assert moment == Moment(at=at, device_at=TOLD, skew_seconds=skew)


def test_without_its_clock_a_device_is_believed():
    assert to_server_time(TOLD, sent=None, received=SENT).at == TOLD


def test_nothing_happened_after_it_was_told():
    late = SENT + timedelta(minutes=3)
    assert to_server_time(late, sent=SENT, received=SENT).at == SENT
