import pytest

from inventory.base.refusals import Refusal
from quotes.base.calc.numbering import DocumentNumber, gaps


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
    parts = [("Q", 2027, 1000), ("Q", 2027, 999), ("I", 2028, 1), ("Q", 2026, 1)]
    assert [str(number) for number in sorted(DocumentNumber(*each) for each in parts)] == [
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
