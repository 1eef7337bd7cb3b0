"""Old sheets become closed builds with their hours: whole or not at all, once, and back again."""

from datetime import date

import pytest

from inventory.base.refusals import Refusal
from shop.builds.services.edit import add_build_note
from shop.estimates.queries.past_builds import record_of
from shop.hours.queries.work import Work
from shop.hours.services.entries import log_hours
from shop.models import Batch, Build, BuildState, OldSheet, StageAlias, TimeEntry
from shop.past_sheets.queries import SheetChoices, preview_of, read_pasted, sheets_of
from shop.past_sheets.services import load_old_hours, undo_old_hours
from tests.shop.factories import NOW, make_build
from tests.shop.past_builds import make_pattern

pytestmark = pytest.mark.django_db
ROWS = """Serial;Step;Hours;Finished;Batch
M-01;Carve top;16,5;4.3.2018;
;Neck;3:15;;
;Case;2;;
M-02;Carve top;15;12.11.2018;pair
;Lacquer;7;;
M-03;Carve top;14;12.11.2018;pair
"""
SETTLED = {"Lacquer": "Finish", "Case": "own"}


@pytest.fixture
def pattern(workshop):
    return make_pattern()


def choices(pattern, uses):
    from shop.past_sheets.calc.records import OUT, OWN, StageUse

    kinds = {"own": OWN, "out": OUT}
    stages = {stage.name: stage.pk for stage in pattern.stages.all()}
    return SheetChoices(
        uses={
            name: kinds.get(to) or StageUse(kind="stage", stage=stages[to])
            for name, to in uses.items()
        }
    )


def load(pattern, person, rows=ROWS, uses=SETTLED, now=NOW):
    preview = preview_of(pattern, read_pasted(rows), choices(pattern, uses))
    return load_old_hours(
        template=pattern,
        reading=preview.reading,
        uses=preview.uses,
        person=person,
        now=now,
        name="old.csv",
    )


def test_builds_are_closed_with_their_hours_on_the_day_they_were_finished(pattern, posy):
    sheet = load(pattern, posy)
    build = Build.objects.get(serial="M-01")
    assert (build.state, build.finished_on, build.closed_on) == (
        BuildState.CLOSED,
        date(2018, 3, 4),
        date(2018, 3, 4),
    )
    assert (build.title, build.template, build.old_sheet) == (pattern.name, pattern, sheet)
    stages = [(s.name, s.template_stage and s.template_stage.name) for s in build.stages.all()]
    assert stages == [("Carve top", "Carve top"), ("Carve neck", "Carve neck"), ("Case", None)]
    entries = TimeEntry.objects.filter(shares__build=build)
    assert sorted(entry.seconds // 60 for entry in entries) == [120, 195, 990]
    assert {(entry.source, entry.day, entry.person) for entry in entries} == {
        ("sheet", date(2018, 3, 4), posy)
    }
    assert all(entry.raw_seconds == entry.seconds for entry in entries)


def test_they_count_in_estimates_like_any_other(pattern, posy):
    load(pattern, posy)
    first, *pair = record_of(pattern).builds
    assert [round(hours, 2) for hours in first.hours.values()] == [16.5, 3.25]
    assert record_of(pattern).elsewhere[first.key] == 2
    assert [build.batch for build in pair] == [2, 2]


def test_a_long_name_becomes_a_title_and_gets_a_serial(pattern, posy):
    rows = "Instrument;Finished;Neck\nMandolin for Osric Pondweed;May 2019;3"
    load(pattern, posy, rows)
    build = Build.objects.get()
    assert (build.title, build.serial) == ("Mandolin for Osric Pondweed", "2019-01")
    with pytest.raises(Refusal, match="nothing to load"):
        load(pattern, posy, rows)


def test_a_name_settled_once_is_remembered(pattern, posy):
    load(pattern, posy)
    assert set(StageAlias.objects.values_list("written", "use", "stage__name")) == {
        ("neck", "stage", "Carve neck"),
        ("lacquer", "stage", "Finish"),
        ("case", "own", None),
    }
    later = preview_of(pattern, read_pasted("No;Finished;Lacquer;Case\nx;2020;3;1"), SheetChoices())
    assert later.reading.unsettled == ()
    assert not any(one.guessed for one in later.suggestions.values())


def test_what_is_in_the_books_is_left_alone(pattern, posy):
    load(pattern, posy)
    more = ROWS + "M-04;Carve top;12;2019;\n"
    preview = preview_of(pattern, read_pasted(more), SheetChoices())
    assert preview.in_books == {"M-01", "M-02", "M-03"}
    assert preview.loadable == 1
    load(pattern, posy, more)
    assert Build.objects.count() == 4
    assert TimeEntry.objects.filter(shares__build__serial="M-01").count() == 3


def test_a_build_with_an_unreadable_row_is_left_out_whole(pattern, posy):
    load(pattern, posy, ROWS + "M-04;Carve top;12;2019;\nM-04;Neck;a lot;;\n")
    assert not Build.objects.filter(serial="M-04").exists()
    assert Build.objects.count() == 3


@pytest.mark.parametrize(
    ("rows", "uses", "words"),
    [
        (ROWS, {}, "First choose the stage for “Case”, “Lacquer”"),
        ("No;Finished;Neck\nx;soon;3", {}, "nothing to load"),
    ],
)
def test_on_a_refusal_nothing_is_written(pattern, posy, rows, uses, words):
    with pytest.raises(Refusal, match=words):
        load(pattern, posy, rows, uses)
    assert not Build.objects.exists()
    assert not StageAlias.objects.exists()
    assert not OldSheet.objects.exists()


def test_a_serial_of_another_pattern_is_in_the_books_too(pattern, posy):
    make_build(serial="M-01")
    load(pattern, posy)
    assert Build.objects.get(serial="M-01").template is None
    assert Build.objects.count() == 3


def test_a_load_is_taken_back_whole(pattern, posy):
    sheet = load(pattern, posy)
    own = make_build(template=pattern)
    assert [(one.name, one.build_count) for one in sheets_of(pattern)] == [("old.csv", 3)]
    assert undo_old_hours(sheet=sheet) == 3
    assert list(Build.objects.all()) == [own]
    assert not TimeEntry.objects.exists()
    assert not Batch.objects.exists()
    assert not OldSheet.objects.exists()
    load(pattern, posy)  # and may be loaded again


def add_hours(build, person):
    log_hours(person=person, day=date(2020, 1, 1), minutes=5, work=[Work(build=build)], now=NOW)


def add_note(build, person):
    add_build_note(build=build, text="Came back for a new nut", user=person, now=NOW)


@pytest.mark.parametrize("act", [add_hours, add_note])
def test_what_was_worked_with_since_is_not_taken_back(pattern, posy, act):
    sheet = load(pattern, posy)
    act(Build.objects.get(serial="M-02"), posy)
    with pytest.raises(Refusal, match=r"M-02 .* has new entries since it was loaded"):
        undo_old_hours(sheet=sheet)
    assert Build.objects.count() == 3


def test_options_of_the_template_are_read(pattern, posy):
    pattern.options.create(name="Scroll")
    load(pattern, posy, "No;Finished;Options;Neck\nx;2020;scroll;3")
    assert Build.objects.get().options == ["Scroll"]


def test_a_hundred_builds_are_loaded_with_few_queries_each(
    pattern, posy, django_assert_max_num_queries
):
    rows = "No;Finished;Carve top;Neck;Finish\n"
    rows += "".join(f"old-{number};2019;14;3;6\n" for number in range(100))
    with django_assert_max_num_queries(100 * 12 + 20):
        load(pattern, posy, rows)
    assert len(record_of(pattern).builds) == 100
