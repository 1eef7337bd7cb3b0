"""Old sheets in both layouts: columns, names of stages, builds, and what could not be read."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.past_sheets.calc.columns import guess_columns
from shop.past_sheets.calc.reading import read_sheet
from shop.past_sheets.calc.records import OUT, OWN, Columns, Sheet, SheetRules, StageUse
from shop.past_sheets.calc.uses import stage_names_in, suggest_uses

TOP, NECK, FINISH = (StageUse(kind="stage", stage=key) for key in (1, 2, 3))
USES = {"Carve top": TOP, "Neck": NECK, "Lacquer": FINISH, "Case": OWN, "Sweeping": OUT}
STAGES = {1: "Carve and graduate top", 2: "Carve neck", 3: "Apply finish"}


def sheet(*lines):
    """A sheet from lines with `|` between the cells; the header is row 1."""
    cells = [tuple(cell.strip() for cell in line.split("|")) for line in lines]
    rows = tuple((number, row) for number, row in enumerate(cells[1:], start=2))
    return Sheet(headers=cells[0], rows=rows)


def read(table, uses=USES, **wanted):
    return read_sheet(table, SheetRules(columns=guess_columns(table), uses=uses, **wanted))


LONG = sheet(
    "Serial | Step | Hours | Finished | Batch",
    "M-01 | Carve top | 16,5 | 4.3.2018 |",
    " | Neck | 3:15 | |",
    " | Sweeping | 1 | |",
    "M-02 | Carve top | 15 | 2018-11-12 | pair",
    "M-02 | Carve top | 1.25 | 2018-11-14 | pair",
    "M-02 | Case | 2 | | pair",
    " | | | |",
)
WIDE = sheet(
    "No | Begun | Finished | Carve top | Neck | Lacquer | Total",
    "M-01 | 3 January 2018 | March 2018 | 16,5 | 3:15 | - | 20",
    "M-02 | | 2018 | 15 | | 7 | 22",
)


@pytest.mark.parametrize(
    ("table", "columns"),
    [
        (LONG, Columns(build=0, stage=1, hours=2, finished=3, batch=4)),
        (WIDE, Columns(build=0, started=1, finished=2, stages=(3, 4, 5, 6))),
        (sheet("Instrument | Date | Neck", "a | 2020 | 1"),
         Columns(build=0, finished=1, stages=(2,))),
        (sheet("Title | Serial | Task | Time", "a | b | c | 1"),
         Columns(title=0, build=1, stage=2, hours=3)),
        (sheet("Name | Neck | Hours", "a | 2 | 3"), Columns(build=0, stages=(1, 2))),
    ],
    ids=["long", "wide", "by instrument", "title and serial", "hours without a stage"],
)  # fmt: skip
def test_columns_are_known_by_their_header(table, columns):
    assert guess_columns(table) == columns


def test_a_row_for_each_stage():
    first, second = read(LONG).builds
    assert (first.name, first.finished, first.minutes) == (
        "M-01",
        date(2018, 3, 4),
        {(TOP, ""): 990, (NECK, ""): 195},
    )
    assert (second.batch, second.finished) == ("pair", date(2018, 11, 14))
    assert second.minutes == {(TOP, ""): 975, (OWN, "Case"): 120}
    assert read(LONG).skipped == 1


def test_a_column_for_each_stage():
    first, second = read(WIDE, uses=USES | {"Total": OUT}).builds
    assert (first.started, first.finished) == (date(2018, 1, 3), date(2018, 3, 31))
    assert first.minutes == {(TOP, ""): 990, (NECK, ""): 195}
    assert (second.started, second.finished) == (None, date(2018, 12, 31))
    assert second.minutes == {(TOP, ""): 900, (FINISH, ""): 420}


def test_names_that_nobody_settled_are_told_and_their_hours_wait():
    reading = read(LONG, uses={"Carve top": TOP})
    assert reading.unsettled == ("Neck", "Sweeping", "Case")
    assert reading.builds[0].unsettled_minutes == 255
    assert reading.builds[0].all_minutes == 1245
    assert reading.sound == reading.builds


@pytest.mark.parametrize(
    ("row", "words"),
    [
        (
            "M-03 | Carve top | two days | 2020 |",
            "Row 2: Carve top: “two days” is not a time worked",
        ),
        ("M-03 | Carve top | 3 | soon |", "Row 2: “soon” is not a day"),
        ("M-03 | | 3 | 2020 |", "Row 2: 3 without a stage. Enter the stage."),
        ("M-03 | Carve top | 3 | |", "M-03: no date done."),
        ("M-03 | Carve top | 3 | 1.1.1019 |", "M-03: 1019 can't be the year it was done."),
        ("M-03 | Carve top | | 2020 |", "M-03: no hours."),
        ("M-03 | Sweeping | 3 | 2020 |", "M-03: no hours."),
    ],
)
def test_a_build_that_can_not_be_read_whole_is_told_and_not_sound(row, words):
    table = sheet("Serial | Step | Hours | Finished | Batch", row)
    reading = read(table, uses=USES | {"": OUT} if "| | 3" not in row else USES)
    (build,) = reading.builds
    assert str(build.troubles[0]).startswith(words)
    assert reading.sound == ()


def test_one_bad_row_leaves_the_other_builds_sound():
    table = sheet(
        "Serial | Step | Hours | Finished",
        "M-03 | Carve top | x | 2020",
        "M-03 | Neck | 3 | 2020",
        "M-04 | Neck | 3 | 2020",
    )
    assert [build.name for build in read(table).sound] == ["M-04"]


def test_a_row_without_a_build_at_the_top_is_told():
    reading = read(sheet("Serial | Step | Hours | Finished", " | Neck | 3 | 2020"))
    assert [str(one) for one in reading.troubles] == ["Row 2: no build. Enter its number or name."]


def test_a_row_of_a_column_sheet_belongs_to_no_build_above():
    reading = read(sheet("Serial | Finished | Neck", "a | 2020 | 3", " | | 4"))
    assert str(reading.troubles[0]).startswith("Row 3: no build.")
    assert reading.builds[0].all_minutes == 180


def test_a_build_finished_before_it_was_begun_is_told():
    (build,) = read(sheet("Serial | Begun | Finished | Neck", "a | 2021 | 2020 | 3")).builds
    assert str(build.troubles[0]) == "a: done before it was started."


def test_builds_without_a_day_may_have_one_given():
    table = sheet("Serial | Step | Hours", "M-03 | Neck | 3")
    (build,) = read(table, undated=date(2015, 6, 1)).sound
    assert build.finished == date(2015, 6, 1)


def test_options_are_known_by_their_words():
    table = sheet("Serial | Finished | Options | Neck", "a | 2020 | scrolls; finger rest | 3")
    (build,) = read(table, options=("Finger rest", "Scroll")).sound
    assert build.options == ("Scroll", "Finger rest")
    (build,) = read(table, options=("Scroll",)).builds
    assert str(build.troubles[0]) == (
        "Row 2: the template has no option “finger rest”. It has: Scroll."
    )


def test_builds_are_one_whatever_their_case():
    table = sheet("Serial | Step | Hours | Finished", "m-1 | Neck | 3 | 2020", "M-1 | Neck | 1 | ")
    assert [build.all_minutes for build in read(table).builds] == [240]


def test_names_of_stages_are_told_once_each():
    assert stage_names_in(LONG, guess_columns(LONG)) == ("Carve top", "Neck", "Sweeping", "Case")
    assert stage_names_in(WIDE, guess_columns(WIDE)) == ("Carve top", "Neck", "Lacquer", "Total")


def test_uses_are_remembered_known_guessed_or_open():
    names = ["carve neck", "Carve top", "Lacquer", "Total", "Pickguard", "Carve"]
    found = suggest_uses(names, STAGES, {"lacquer": FINISH})
    assert (found["carve neck"].use, found["carve neck"].guessed) == (NECK, False)
    assert (found["Carve top"].use, found["Carve top"].guessed) == (TOP, True)
    assert (found["Lacquer"].use, found["Lacquer"].guessed) == (FINISH, False)
    assert found["Total"].use == OUT
    assert found["Pickguard"].use is None
    assert found["Carve"].use is None  # two stages have it


def test_what_is_remembered_comes_before_a_name_that_is_alike():
    assert suggest_uses(["Carve neck"], STAGES, {"carve neck": OUT})["Carve neck"].use == OUT


@pytest.mark.parametrize(("kind", "stage"), [("stage", None), ("own", 3), ("out", 3)])
def test_a_use_names_a_stage_exactly_when_it_goes_to_one(kind, stage):
    with pytest.raises(ValueError, match="exactly when one is named"):
        StageUse(kind=kind, stage=stage)


rows = st.lists(
    st.tuples(st.sampled_from("ABC"), st.sampled_from(sorted(USES)), st.integers(0, 600)),
    min_size=1,
    max_size=20,
)


@given(rows)
def test_no_minute_is_lost_or_found_in_either_layout(table):
    """Law: what a sheet says in all is what its builds have, what is left out aside."""
    long = Sheet(
        headers=("Serial", "Step", "Hours", "Finished"),
        rows=tuple(
            (place, (build, stage, f"{minutes} min" if minutes else "", "2020"))
            for place, (build, stage, minutes) in enumerate(table, start=2)
        ),
    )
    kept = sum(minutes for _, stage, minutes in table if USES[stage] != OUT)
    assert sum(build.all_minutes for build in read(long).builds) == kept
    names = sorted(USES)
    wide = Sheet(
        headers=("Serial", "Finished", *names),
        rows=tuple(
            (
                place,
                (
                    build,
                    "2020",
                    *(f"{minutes} min" if name == stage and minutes else "" for name in names),
                ),
            )
            for place, (build, stage, minutes) in enumerate(table, start=2)
        ),
    )
    assert {b.name: b.minutes for b in read(wide).builds} == {
        b.name: b.minutes for b in read(long).builds
    }
