"""What estimates read from the books: finished builds, their hours by stage, and what they were."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from shop.estimates.queries.past_builds import record_of
from shop.models import BuildState, EstimateSettings, RelatedTemplate, StageAlias
from tests.shop.factories import make_template, make_template_stage
from tests.shop.past_builds import (
    FIRST_DAY,
    clock_hours,
    make_batch,
    make_past_build,
    make_past_builds,
    make_pattern,
)

pytestmark = pytest.mark.django_db
LATER = FIRST_DAY + timedelta(days=200)


@pytest.fixture
def pattern():
    return make_pattern()


def named(record, build):
    """Hours of a past build by the names of stages."""
    names = {f"{stage.pk}": stage.name for stage in record.stages}
    return {names[key]: hours for key, hours in build.hours.items()}


def test_hours_are_added_up_by_stage(pattern):
    build = make_past_build(pattern, {"Carve top": 12.5, "Carve neck": 3})
    clock_hours(build, build.stages.get(name="Carve top"), 1.25, FIRST_DAY)
    record = record_of(pattern)
    assert named(record, record.builds[0]) == {"Carve top": 13.75, "Carve neck": 3.0}
    assert record.rows[record.builds[0].key] == build


@pytest.mark.parametrize(
    ("state", "counts"),
    [
        (BuildState.FINISHED, True),
        (BuildState.CLOSED, True),
        (BuildState.UNDER_WAY, False),
        (BuildState.PLANNED, False),
        (BuildState.CANCELLED, False),
    ],
)
def test_only_builds_that_are_done_are_past_builds(pattern, state, counts):
    make_past_build(pattern, {"Carve top": 12}, state=state)
    assert bool(record_of(pattern).builds) is counts


def test_a_stage_is_known_by_its_name_when_its_link_is_gone(pattern):
    build = make_past_build(pattern, {"Carve top": 12, "CARVE NECK": 2})
    build.stages.update(template_stage=None)
    record = record_of(pattern)
    assert named(record, record.builds[0]) == {"Carve top": 12.0, "Carve neck": 2.0}


def test_a_stage_is_known_by_what_an_old_sheet_calls_it(pattern):
    stage = pattern.stages.get(name="Finish")
    StageAlias.objects.create(template=pattern, written="lacquer", stage=stage)
    make_past_build(pattern, {"Lacquer": 7})
    record = record_of(pattern)
    assert named(record, record.builds[0]) == {"Finish": 7.0}


def test_hours_of_no_stage_are_kept_apart(pattern):
    build = make_past_build(pattern, {"Carve top": 12, "Pickguard": 2})
    clock_hours(build, None, 1.5, FIRST_DAY)
    record = record_of(pattern)
    assert record.elsewhere == {f"{build.pk}": 3.5}
    assert named(record, record.builds[0]) == {"Carve top": 12.0}


def test_what_is_set_aside_says_so(pattern):
    make_past_build(pattern, {"Carve top": 12}, is_set_aside=True)
    make_past_build(
        pattern, {"Carve top": 30, "Finish": 5}, finished=LATER, stages_set_aside=["Carve top"]
    )
    cracked, bad_top = record_of(pattern).builds
    assert cracked.set_aside
    top, finish = pattern.stages.get(name="Carve top"), pattern.stages.get(name="Finish")
    assert (bad_top.counts(f"{top.pk}"), bad_top.counts(f"{finish.pk}")) == (False, True)


def test_builds_are_numbered_as_they_were_begun(pattern):
    make_past_build(pattern, {"Finish": 5}, "third", finished=LATER, days=10)
    make_past_build(pattern, {"Finish": 5}, "first", finished=LATER, days=300)
    make_past_build(pattern, {"Finish": 5}, "second", finished=FIRST_DAY, days=5)
    record = record_of(pattern)
    numbers = {record.rows[build.key].serial: build.number for build in record.builds}
    assert numbers == {"first": 1, "second": 2, "third": 3}
    assert record.made == 3


def test_those_made_before_the_books_come_first():
    pattern = make_pattern(made_before=12)
    make_past_build(pattern, {"Finish": 5})
    record = record_of(pattern)
    assert (record.builds[0].number, record.made) == (13, 13)


def test_a_batch_has_one_number_and_one_size(pattern):
    batch = make_batch()
    for _ in range(2):
        make_past_build(pattern, {"Finish": 5}, batch=batch)
    make_past_build(pattern, {"Finish": 5}, batch=batch, state=BuildState.CANCELLED)
    make_past_build(pattern, {"Finish": 5}, finished=LATER)
    found = [(build.number, build.batch) for build in record_of(pattern).builds]
    assert found == [(1, 2), (1, 2), (3, 1)]


def test_related_patterns_bring_their_builds_with_a_weight(pattern):
    mandola = make_pattern("Mandola", {"carve top": ("10", "15", "24"), "Scroll": ("1", "2", "3")})
    RelatedTemplate.objects.create(
        template=pattern, related=mandola, weight=Decimal("0.4"), factor=Decimal("1.1")
    )
    make_past_build(mandola, {"carve top": 16, "Scroll": 40})
    record = record_of(pattern)
    (build,) = record.builds
    assert (build.weight, build.factor, build.related) == (0.4, 1.1, True)
    assert named(record, build) == {"Carve top": 16.0}
    assert (record.own_builds, record.made) == ([], 0)
    assert record_of(mandola).builds[0].related is False


def test_a_stage_without_likely_hours_is_named_and_left_out(pattern):
    bare = make_template_stage(pattern, "Photos", ("0", "0", "0"))
    record = record_of(pattern)
    assert (record.without_hours, bare in record.stages) == ((bare,), False)


def test_low_hours_of_nothing_are_half_of_the_likely_ones():
    template = make_template()
    stage = make_template_stage(template, "Photos", ("0", "2", "3"))
    figures = record_of(template).figures[f"{stage.pk}"]
    assert (figures.low, figures.likely, figures.high) == (1.0, 2.0, 3.0)


def test_what_the_workshop_takes_for_granted_is_used(pattern):
    EstimateSettings.objects.create(pk=1, worth=Decimal("4.5"), half_life_years=None)
    found = record_of(pattern).assumptions
    assert (found.worth, found.half_life_years, found.low_percentile) == (4.5, None, 10)


def test_a_build_that_was_finished_before_it_was_entered_begins_on_that_day(pattern):
    build = make_past_build(pattern, {"Finish": 5})
    build.started_on, build.made_on = None, date(2026, 1, 1)
    build.save()
    (past,) = record_of(pattern).builds
    assert (past.started, past.finished) == (FIRST_DAY, FIRST_DAY)


@pytest.mark.parametrize("builds", [1, 25])
def test_the_record_takes_nine_queries(pattern, builds, django_assert_num_queries):
    make_past_builds(pattern, builds)
    with django_assert_num_queries(9):
        record = record_of(pattern)
    assert len(record.builds) == builds
