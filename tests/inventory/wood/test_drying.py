import math
import random
from datetime import date, timedelta
from decimal import Decimal

import pytest

from inventory.wood.calc.drying import forecast_ready, range_about_middle, usual_gap
from inventory.wood.calc.seasoning import MassReading, ReadyRule, Wood, ready_verdict
from tests.inventory.wood.simulated_boards import (
    KINDS,
    RESTING,
    exponential_board,
    slab_board,
)

FIRST = date(2027, 3, 9)


def mass(week, gap=60.0, pace=30.0, final=850.0):
    return final + gap * math.exp(-7 * week / pace)


def weighed(weeks, noise=0.0, seed=1, **curve):
    error = random.Random(seed)
    return [
        MassReading(
            FIRST + timedelta(days=7 * week),
            round(Decimal(mass(week, **curve) + error.gauss(0, noise)), 1 if noise else 6),
        )
        for week in range(weeks)
    ]


def wood_of(board):
    return Wood(thickness_mm=Decimal(round(board.thickness)), resting=Decimal(str(RESTING)))


def count_when_ready(board):
    rows = board.weighings[:60]
    ready = (n for n in range(4, len(rows)) if ready_verdict(rows[:n], wood=wood_of(board)).ready)
    return next(ready, None)


def asked_after(board, number):
    """The forecast after so many weighings, the last of them, and the day that it was ready."""
    count = count_when_ready(board)
    if count is None or count <= number:
        return None
    rows = board.weighings
    return (
        forecast_ready(rows[:number], wood=wood_of(board)),
        rows[number - 1].on,
        rows[count - 1].on,
    )


def waits(board, part):
    """The same after a part of the weighings until it was ready."""
    count = count_when_ready(board)
    return asked_after(board, max(4, round(count * part))) if count else None


def test_a_range_holds_the_day_about_as_often_as_it_says():
    makes = (slab_board, exponential_board)
    found = [asked_after(make(kind, n), 5) for make in makes for kind in KINDS for n in range(6)]
    asked = [one for one in found if one and one[0].on]
    held = [one.earliest <= day and (not one.latest or day <= one.latest) for one, _, day in asked]
    said = [one.chance for one, _, _ in asked]
    assert len(held) >= 20
    assert sum(held) >= sum(said) - 3


def test_the_range_of_thin_sets_is_no_longer_than_the_wait():
    found = filter(None, (asked_after(slab_board("thin set", seed), 4) for seed in range(8)))
    wide = sorted((told.latest - told.earliest) / (day - now) for told, now, day in found)
    assert wide[len(wide) // 2] <= 1


@pytest.mark.parametrize(
    ("waits", "low", "high", "chance"),
    [
        (range(1, 11), 2, 9, 0.8),
        ([7] * 10, 7, 7, 1.0),
        ([1] + 8 * [2] + [3], 2, 2, 0.8),
        ([1, 1, 1, 2, 2, 2, 2, 2, 2, 3], 1, 2, 0.9),
        ([1, 2, 3, 4, 5, 6, 7, math.inf, math.inf, math.inf], 3, math.inf, 0.8),
    ],
    ids=["even", "one day", "narrow", "steps", "open"],
)
def test_a_range_lies_about_the_middle_and_says_what_it_holds(waits, low, high, chance):
    assert range_about_middle(list(waits)) == (low, high, chance)


def test_the_day_of_billets_is_told_to_half_of_the_wait():
    found = [waits(slab_board("billet", seed), 0.6) for seed in range(8)]
    missed = [abs((told.on - day) / (day - now)) for told, now, day in filter(None, found)]
    assert sorted(missed)[len(missed) // 2] < 0.5


def test_wood_that_takes_up_water_is_forecast_too():
    forecast = forecast_ready(weighed(5, gap=-40.0, pace=25.0))
    assert forecast.on > FIRST + timedelta(weeks=5)
    assert forecast.final_grams > 850 - 5


def test_more_weighings_narrow_the_range():
    few, many = (forecast_ready(weighed(weeks, noise=0.3, pace=60.0)) for weeks in (5, 14))
    assert (many.latest - many.earliest) < (few.latest - few.earliest)


@pytest.mark.parametrize("weeks", [0, 1, 3])
def test_too_few_weighings_are_said_to_be_too_few(weeks):
    forecast = forecast_ready(weighed(weeks))
    assert forecast.on is None
    assert forecast.words == (
        f"Too few weighings for a forecast: {weeks}. At least 4 on different days are needed."
    )


def test_what_is_ready_needs_no_forecast():
    rows = weighed(10, pace=10.0)
    assert ready_verdict(rows).ready
    forecast = forecast_ready(rows)
    assert (forecast.words, forecast.on) == ("Ready now.", rows[-1].on)


def test_a_mass_that_does_not_move_is_no_curve():
    rows = [MassReading(FIRST + timedelta(days=day), Decimal(860)) for day in range(4)]
    assert forecast_ready(rows).words == (
        "The mass has not changed by more than the scale can show."
    )


def test_a_straight_line_down_does_not_tell_how_late():
    rows = [MassReading(FIRST + timedelta(weeks=n), Decimal(900 - 10 * n)) for n in range(6)]
    forecast = forecast_ready(rows, wood=Wood(thickness_mm=Decimal(80)))
    assert forecast.latest is None or (forecast.latest - forecast.earliest).days > 300


def test_the_sentence_gives_the_day_and_its_range():
    forecast = forecast_ready(weighed(5, noise=0.4, pace=60.0))
    assert forecast.words.startswith(f"Ready about {forecast.on.day} {forecast.on:%B %Y}, ")
    assert f"{forecast.latest.day} {forecast.latest:%B %Y}, from 5 weighings." in forecast.words
    assert f", {round(100 * forecast.chance)} % likely " in forecast.words


def test_a_stricter_rule_takes_longer():
    rows = weighed(5, pace=30.0)
    strict = forecast_ready(rows, rule=ReadyRule(within=Decimal("0.002")))
    assert strict.on > forecast_ready(rows).on


def test_the_forecast_never_lies_in_the_past():
    rows = [*weighed(6, pace=12.0)[:5], MassReading(FIRST + timedelta(weeks=5), Decimal("840"))]
    forecast = forecast_ready(rows)
    assert forecast.on is None or forecast.on > rows[-1].on


def test_weighings_are_taken_to_go_on_as_they_came():
    assert usual_gap(weighed(5), ReadyRule()) == 7
    rows = [MassReading(FIRST + timedelta(days=day), Decimal(9)) for day in (0, 14, 15, 29)]
    assert usual_gap(rows, ReadyRule()) == 14
