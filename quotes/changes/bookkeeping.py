"""Freezing what a change order offers."""

from quotes.base.calc.snapshot import as_data
from quotes.base.keeping import store_paper
from quotes.changes.documents import change_paper
from quotes.models import Change
from quotes.papers.documents.printing import print_paper


def freeze_change(change: Change) -> None:
    """Copy what a change offers into it and print its paper. The row is left to be saved."""
    paper = change_paper(change)
    change.frozen = {"paper": as_data(paper)}
    printed = print_paper("quotes/papers/change.html", paper, made_on=f"{change.offered_on}")
    store_paper(change, f"{change.quote.number}-change-{change.number}", printed)
