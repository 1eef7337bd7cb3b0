from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.hours.calc.catch_up import KnownNames, parse_catch_up
from shop.hours.calc.catch_up_names import Known

TODAY = date(2027, 3, 17)  # a Wednesday

BUILDS = (
    Known(key="a", name="A", aliases=("M-027", "carved mandolin"), batch="first"),
    Known(key="b", name="B", aliases=("M-028", "carved mandolin"), batch="first"),
    Known(key="c", name="C", aliases=("G-011", "flat-top guitar")),
)
# Stages of TRADE table 2A.
STAGES = tuple(
    Known(key=name.split(",")[0].lower(), name=name)
    for name in (
        "Stock choice, moisture check, drawing to the spec",
        "Join and flatten top and back",
        "Carve and graduate top, sound holes, tone bars",
        "Carve and graduate back",
        "Bend ribs, blocks, linings, rib frame",
        "Close the box",
        "Binding and purfling",
        "Neck blank, truss rod, headstock, headplate",
        "Neck joint, fit and glue",
        "Carve neck",
        "Fret and dress",
        "Apply finish",
        "Level and buff",
        "Nut, strings, set-up, play-in, final adjust",
    )
)
REASONS = (
    Known(key="cleaning", name="Clean-up"),
    Known(key="enquiry", name="Enquiry", aliases=("message",)),
)
PEOPLE = (Known(key="posy", name="Posy Thimblewick"), Known(key="bram", name="Bram Oddsocks"))
BENCH = KnownNames(builds=BUILDS, stages=STAGES, reasons=REASONS, people=PEOPLE)


def read(line, bench=BENCH):
    return parse_catch_up(line, bench, today=TODAY)


@pytest.mark.parametrize(
    "line",
    [
        "yesterday, 2.5 h, binding, both",
        "yesterday 2.5h binding both mandolins",
        "binding on A and B, 2,5 h, yesterday",
        "Yesterday; 2 1/2; BIND; a; b",
        "16 march, 150 min, binding and purfling, the batch",
        "2:30 binding both on tuesday",
        "last Tuesday, 2½ h of purfling for both mandolins",
        "A,B,2,5 h,binding,2027-03-16",
        "2 h 30 bindings M-027 m028 yesterday",
    ],
)
def test_one_line_in_many_shapes_is_one_entry(line):
    entry = read(line)
    assert entry.day == date(2027, 3, 16)
    assert entry.minutes == 150
    assert entry.stage == "binding and purfling"
    assert set(entry.builds) == {"a", "b"}
    assert entry.reason is None
    assert entry.person is None


@pytest.mark.parametrize(
    ("words", "stage"),
    [
        ("carving the neck", "carve neck"),
        ("carve top", "carve and graduate top"),
        ("graduate the back", "carve and graduate back"),
        ("closing the box", "close the box"),
        ("fretting", "fret and dress"),
        ("buffing", "level and buff"),
        ("finish", "apply finish"),
        ("linings", "bend ribs"),
        ("setup", "nut"),
        ("set up", "nut"),
        ("joint", "neck joint"),
    ],
)
def test_a_stage_is_found_by_the_words_of_the_bench(words, stage):
    assert read(f"C, {words}, 1 h").stage == stage


def test_without_a_day_the_entry_is_for_today():
    assert read("1h30 binding C").day == TODAY


def test_time_that_cannot_be_billed_needs_no_build():
    entry = read("30 min clean-up")
    assert (entry.reason, entry.stage, entry.builds) == ("cleaning", None, ())


def test_a_reason_may_name_its_build():
    assert read("12 min enquiry A").builds == ("a",)


def test_the_only_open_build_need_not_be_named():
    alone = KnownNames(builds=BUILDS[2:], stages=STAGES)
    assert read("binding 2", alone).builds == ("c",)


def test_a_person_may_be_named():
    assert read("Bram, fretting, C, 3 h, yesterday").person == "bram"


def test_a_build_named_twice_counts_once():
    assert read("A, both, 1 h, binding").builds == ("a", "b")


def test_all_means_every_open_build():
    assert read("all, 1 h, binding").builds == ("a", "b", "c")


def test_all_with_a_number_means_that_many():
    assert read("all three, 1 h, binding").builds == ("a", "b", "c")


def test_both_means_the_only_two_builds_that_are_open():
    pair = KnownNames(builds=(BUILDS[0], BUILDS[2]), stages=STAGES)
    assert read("both, 1 h, binding", pair).builds == ("a", "c")


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        (
            "yesterday, 2.5 h, varnishing the ceiling, both",
            "“varnishing ceiling” is not a day, time worked, stage, build, reason or person.",
        ),
        (
            "16/3, 2.5 h, binding, A",
            "“16/3” is not a day, time worked, stage, build, reason or person. "
            "Write hours as 2.5, 2½ or 1:30, or minutes as 90 min. Write a day as "
            "16 March or 2027-03-16.",
        ),
        (
            "2 h, neck, A",
            "“neck” could be Neck blank, truss rod, headstock, headplate, Neck joint, fit and "
            "glue or Carve neck. Write more of the name.",
        ),
        ("2 h, binding, mandolin", "“mandolin” could be A or B. Write more of the name."),
        ("binding, A", "Enter the time worked. Write hours as 2.5, 2½ or 1:30, or minutes as"),
        ("0 h, binding, A", "Enter the time worked."),
        (
            "2.5 h, 1 h, binding, A",
            "There is more than one time: 2:30 h and 1:00 h. Write one per line.",
        ),
        ("2.5 h, A", "Which stage was it? Name a stage, or a reason that is not billable."),
        ("2.5 h, binding", "Which build was it? Name A, B or C."),
        (
            "2 h, binding, fretting, A",
            "There are several stages: Binding and purfling and Fret and dress. "
            "Write one per line.",
        ),
        ("2 h, binding, clean-up, A", "Binding and purfling and Clean-up: write each on its own"),
        (
            "today, yesterday, 2 h, binding, A",
            "There is more than one day: 2027-03-17 and 2027-03-16. Write one per line.",
        ),
        (
            "18 March 2027, 2 h, binding, A",
            "“18 March 2027” is in the future. Today is 2027-03-17.",
        ),
        ("31 june, 2 h, binding, A", "“31 june” is not a valid date."),
        (
            "all four, 2 h, binding",
            "“all four” is not clear: no open batch fits. Name the builds one by one.",
        ),
        ("", "Enter the time worked."),
    ],
)
def test_what_is_not_clear_is_named_in_a_sentence(line, sentence):
    with pytest.raises(ValueError, match=r"\.$") as refused:
        read(line)
    assert str(refused.value).startswith(sentence)


def test_two_batches_of_two_make_both_unclear():
    more = (
        Known(key="d", name="D", aliases=("mandola",), batch="second"),
        Known(key="e", name="E", aliases=("mandola",), batch="second"),
    )
    bench = KnownNames(builds=(*BUILDS, *more), stages=STAGES)
    with pytest.raises(ValueError, match="“both” is not clear: several batches fit"):
        read("both, 2 h, binding", bench)
    assert read("both mandolas, 2 h, binding", bench).builds == ("d", "e")


def test_without_an_open_build_a_stage_has_no_place():
    with pytest.raises(ValueError, match="There is no open build"):
        read("2 h binding", KnownNames(builds=(), stages=STAGES))


line_parts = st.lists(
    st.sampled_from(
        ["yesterday", "2.5 h", "binding", "both", "A", "neck", "all", "2,5", ",", "enquiry", "x"]
    )
    | st.text(max_size=6),
    max_size=7,
)


@given(line_parts)
def test_any_line_is_either_read_or_refused_in_a_sentence(parts):
    entry, sentence = None, ""
    try:
        entry = read(" ".join(parts))
    except ValueError as refused:
        sentence = str(refused)
    assert sentence.endswith((".", "?")) or entry.minutes > 0


def test_the_same_words_in_any_order_mean_the_same():
    assert read("A, 2 h, binding, yesterday") == read("yesterday, binding, 2 h, A")


@pytest.mark.parametrize(
    "line",
    [
        "C, 1 h, binding, again",
        "binding again 1h C",
        "made again: C, binding, 1 h",
        "C remake binding 1",
    ],
)
def test_what_is_made_a_second_time_is_said_by_a_word(line):
    entry = read(line)
    assert (entry.is_remake, entry.stage, entry.minutes) == (True, "binding and purfling", 60)


def test_without_the_word_nothing_is_made_again():
    assert read("C, 1 h, binding").is_remake is False


def test_time_that_cannot_be_billed_is_not_made_again():
    with pytest.raises(ValueError, match="Which stage was rework"):
        read("30 min clean-up again")


def test_a_stage_that_is_called_so_is_still_meant_by_its_name():
    stages = (Known(key="bend", name="Bend again"),)
    bench = KnownNames(builds=BUILDS[2:], stages=stages)
    assert read("bend again, 1 h", bench).is_remake is False


OWN_STAGES = (
    Known(key="choice", name="Stock choice, drawing to the spec", builds=frozenset("ab")),
    Known(key="drawing", name="Spec drawing", builds=frozenset("c")),
)


@pytest.mark.parametrize(
    ("line", "stage"),
    [("C, spec, 1 h", "drawing"), ("spec 1 h A", "choice"), ("both, spec, 1 h", "choice")],
)
def test_of_stages_that_share_a_word_the_one_of_the_named_build_is_meant(line, stage):
    bench = KnownNames(builds=BUILDS, stages=OWN_STAGES)
    assert read(line, bench).stage == stage


def test_where_several_named_builds_have_such_a_stage_more_is_asked():
    bench = KnownNames(builds=BUILDS, stages=OWN_STAGES)
    with pytest.raises(ValueError, match="“spec” could be Stock choice"):
        read("all, spec, 1 h", bench)
