import math
import random
from datetime import date, timedelta
from decimal import Decimal

import pytest

from inventory.wood.calc.drying import forecast_ready
from inventory.wood.calc.seasoning import MassReading, ReadyRule, ready_verdict

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


def first_ready_week(**curve):
    """The first week whose last three exact masses lie within 0.4 %, found by trying them all."""
    return next(
        week
        for week in range(2, 500)
        if abs(mass(week, **curve) - mass(week - 2, **curve)) <= 0.004 * mass(week - 2, **curve)
    )


@pytest.mark.parametrize("pace", [15.0, 30.0, 60.0])
def test_on_a_clean_curve_the_forecast_is_the_week_in_which_the_rule_is_met(pace):
    forecast = forecast_ready(weighed(5, pace=pace))
    assert forecast.on == FIRST + timedelta(weeks=first_ready_week(pace=pace))
    assert forecast.earliest <= forecast.on <= forecast.latest
    assert abs(forecast.final_grams - 850) <= 5


def test_wood_that_takes_up_water_is_forecast_too():
    curve = {"gap": -40.0, "pace": 25.0}
    forecast = forecast_ready(weighed(5, **curve))
    assert forecast.on == FIRST + timedelta(weeks=first_ready_week(**curve))


def test_the_range_holds_the_day_about_eight_times_in_ten():
    true = FIRST + timedelta(weeks=first_ready_week(pace=30.0))
    forecasts = [forecast_ready(weighed(5, noise=0.4, seed=seed, pace=30.0)) for seed in range(30)]
    held = [
        forecast
        for forecast in forecasts
        if forecast.earliest <= true and (forecast.latest is None or true <= forecast.latest)
    ]
    assert 20 <= len(held) <= 29


def test_more_weighings_narrow_the_range():
    few, many = (forecast_ready(weighed(weeks, noise=0.3, pace=60.0)) for weeks in (5, 10))
    assert (many.latest - many.earliest) < (few.latest - few.earliest)


@pytest.mark.parametrize("weeks", [0, 1, 3])
def test_too_few_weighings_are_said_to_be_too_few(weeks):
    forecast = forecast_ready(weighed(weeks))
    assert forecast.on is None
    assert forecast.words == (
        f"Too few weighings to forecast from: {weeks}, at least 4 on different days are needed."
    )


def test_what_is_ready_needs_no_forecast():
    rows = weighed(10, pace=10.0)
    assert ready_verdict(rows).ready
    forecast = forecast_ready(rows)
    assert (forecast.words, forecast.on) == ("It is ready now.", rows[-1].on)


def test_a_mass_that_does_not_move_is_no_curve():
    rows = [MassReading(FIRST + timedelta(days=day), Decimal(860)) for day in range(4)]
    assert forecast_ready(rows).words == ("The mass has not moved by more than the scale can tell.")


def test_a_straight_line_down_tends_nowhere():
    rows = [MassReading(FIRST + timedelta(weeks=n), Decimal(900 - 30 * n)) for n in range(6)]
    forecast = forecast_ready(rows)
    assert forecast.on is None
    assert "do not bend yet" in forecast.words


def test_four_rough_weighings_do_not_tell_how_late():
    grams = ["900", "876", "862", "841"]
    rows = [MassReading(FIRST + timedelta(weeks=n), Decimal(g)) for n, g in enumerate(grams)]
    forecast = forecast_ready(rows)
    assert forecast.latest is None
    assert "how late, the weighings do not tell yet" in forecast.words


def test_the_sentence_gives_the_day_and_its_range():
    forecast = forecast_ready(weighed(5, noise=0.4, pace=60.0))
    assert forecast.words.startswith(f"Ready about {forecast.on.day} {forecast.on:%B %Y}, ")
    assert f"{forecast.latest.day} {forecast.latest:%B %Y}." in forecast.words


def test_a_stricter_rule_takes_longer():
    rows = weighed(5, pace=30.0)
    strict = forecast_ready(rows, rule=ReadyRule(within=Decimal("0.002")))
    assert strict.on > forecast_ready(rows).on


def test_wood_that_hardly_moves_is_ready_as_soon_as_enough_weighings_are_apart():
    grams = ["900.00", "899.90", "899.80", "899.70"]
    rows = [MassReading(FIRST + timedelta(days=n), Decimal(g)) for n, g in enumerate(grams)]
    forecast = forecast_ready(
        rows, rule=ReadyRule(within=Decimal("0.05")), scale_step=Decimal("0.01")
    )
    assert FIRST + timedelta(days=14) <= forecast.on <= FIRST + timedelta(days=17)


def test_the_forecast_never_lies_in_the_past():
    rows = [*weighed(6, pace=12.0)[:5], MassReading(FIRST + timedelta(weeks=5), Decimal("840"))]
    forecast = forecast_ready(rows)
    assert forecast.on is None or forecast.on > rows[-1].on
