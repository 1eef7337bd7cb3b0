import pytest

from shop.hours.calc.catch_up_names import Known, find_group, find_known, listed, words_of

BINDING = Known(key="1", name="Binding and purfling")
BLANK = Known(key="2", name="Neck blank, truss rod")
JOINT = Known(key="3", name="Neck joint")
NECK = Known(key="4", name="Carve neck", aliases=("neck",))


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("carving", "carve"),
        ("Fretting", "fret"),
        ("ribs", "rib"),
        ("buffed", "buff"),
        ("gluing", "glue"),
        ("the Bindings", "binding"),
        ("Ébène", "ebene"),
    ],
)
def test_forms_of_one_word_are_alike(one, other):
    assert words_of(one) == words_of(other)


def test_a_full_name_comes_before_names_that_contain_it():
    assert find_known("neck", [BLANK, JOINT, NECK]) == [NECK]


def test_words_that_fit_several_names_find_them_all():
    assert find_known("neck", [BLANK, JOINT]) == [BLANK, JOINT]


def test_a_short_word_must_be_written_whole():
    assert find_known("bi", [BINDING]) == []
    assert find_known("bin", [BINDING]) == [BINDING]


def test_fillers_alone_name_nothing():
    assert find_known("and the", [BINDING]) == []


def test_a_word_that_is_no_group_is_left_to_others():
    assert find_group("binding", [BINDING]) is None
    assert find_group("both bindings", [JOINT]) is None


def test_names_are_listed_in_a_sentence():
    assert listed([JOINT]) == "Neck joint"
    assert listed([JOINT, NECK, BINDING]) == "Neck joint, Carve neck or Binding and purfling"
