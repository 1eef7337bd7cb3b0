from datetime import date
from decimal import Decimal

import pytest

from shop.calc.proposals import ShelfPiece, propose_pieces


def piece(number, *, is_ready=True, since=date(2024, 5, 1), length=None):
    return ShelfPiece(
        key=int(number[2:]),
        number=number,
        is_ready=is_ready,
        age_from=since,
        length_mm=None if length is None else Decimal(length),
    )


OLD, NEW = date(2021, 3, 2), date(2026, 9, 14)


@pytest.mark.parametrize(
    ("pieces", "least", "expected"),
    [
        ([piece("T-1", since=NEW), piece("T-2", since=OLD)], None, ["T-2", "T-1"]),
        ([piece("T-1", is_ready=False, since=OLD), piece("T-2")], None, ["T-2", "T-1"]),
        ([piece("T-1", length=600), piece("T-2", length=640)], 620, ["T-2"]),
        ([piece("T-1", since=OLD), piece("T-2", length=640)], 620, ["T-2", "T-1"]),
        ([piece("T-2"), piece("T-1")], None, ["T-1", "T-2"]),
        ([], None, []),
    ],
    ids=["oldest", "ready", "long enough", "measured", "number decides last", "empty shelf"],
)
def test_pieces_are_proposed_in_order(pieces, least, expected):
    least = None if least is None else Decimal(least)
    proposed = propose_pieces(pieces, 5, least_length=least)
    assert [proposal.piece.number for proposal in proposed] == expected


def test_no_more_are_proposed_than_wanted():
    assert len(propose_pieces([piece("T-1"), piece("T-2"), piece("T-3")], 2)) == 2


def test_the_reason_is_told():
    [proposal] = propose_pieces([piece("T-4", since=OLD, length=630)], 1, least_length=Decimal(620))
    assert proposal.reason == "ready, long enough, in the shop since 2 March 2021"
