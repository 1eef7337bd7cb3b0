import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.refusals import Refusal
from quotes.calc.numbering import DocumentNumber, gaps, read_number

numbers = st.builds(
    DocumentNumber,
    st.text("ABCQ", min_size=1, max_size=4),
    st.integers(1000, 9999),
    st.integers(1, 999_999_999),
)


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (DocumentNumber("Q", 2027, 1), "Q-2027-001"),
        (DocumentNumber("INV", 2027, 999), "INV-2027-999"),
        (DocumentNumber("Q", 2027, 1000), "Q-2027-1000"),
    ],
)
def test_a_number_is_written(number, text):
    assert str(number) == text
    assert read_number(f" {text.lower()} ") == number


@given(number=numbers)
def test_a_written_number_is_read_back(number):
    assert read_number(str(number)) == number


@pytest.mark.parametrize(
    "text", ["", "Q-27-001", "Q-2027-1", "2027-001", "Q-2027-001x", "Q-2027-٠٠١"]
)
def test_anything_else_is_refused(text):
    with pytest.raises(Refusal, match="is not a document's number such as Q-2027-001"):
        read_number(text)


@pytest.mark.parametrize(
    ("parts", "field"),
    [
        (("q", 2027, 1), "prefix"),
        (("", 2027, 1), "prefix"),
        (("QUOTE", 2027, 1), "prefix"),
        (("Q", 27, 1), "number"),
        (("Q", 2027, 0), "number"),
    ],
)
def test_a_number_that_cannot_be_is_refused(parts, field):
    with pytest.raises(Refusal) as refused:
        DocumentNumber(*parts)
    assert refused.value.field == field


def test_numbers_sort_by_prefix_year_and_number():
    texts = ["Q-2027-1000", "Q-2027-999", "I-2028-001", "Q-2026-001"]
    assert [str(number) for number in sorted(map(read_number, texts))] == [
        "I-2028-001",
        "Q-2026-001",
        "Q-2027-999",
        "Q-2027-1000",
    ]


@pytest.mark.parametrize(
    ("taken", "missing"), [([], []), ([1, 2, 3], []), ([3, 1], [2]), ([4], [1, 2, 3])]
)
def test_gaps_in_a_run_are_found(taken, missing):
    assert gaps(taken) == missing
