"""What a client reads of a change at a secret link: its paper, and nothing behind it."""

from dataclasses import dataclass, replace
from datetime import date

from quotes.calc.snapshot import from_data
from quotes.documents.agreed_papers import ChangePaper
from quotes.models import Change, ClientLink, Commission, Decision, Quote
from quotes.queries.change_papers import agreement_beside
from quotes.queries.client_page import open_links


@dataclass(frozen=True, slots=True, kw_only=True)
class ClientChange:
    """A change as its client sees it; `closed` says why it can't be answered any more.

    `paper` is as it was offered, but for what is agreed beside it, which is as it stands now.
    """

    paper: ChangePaper
    change: Change
    closed: str
    decision: Decision | None


def find_change_link(secret: str, on: date) -> ClientLink | None:
    """Return the link to a change with this secret if it opens on the day. One query."""
    links = open_links(secret, on, to_change=True)
    return links.select_related(
        "change__decision", "change__quote__commission", "change__quote__build"
    ).first()


def client_change(change: Change) -> ClientChange:
    """Gather the page, in two queries."""
    paper = from_data(ChangePaper, (change.frozen or {})["paper"])
    return ClientChange(
        paper=replace(paper, agreement=agreement_beside(change)),
        change=change,
        closed=closed_to_change(change),
        decision=getattr(change, "decision", None),
    )


def closed_to_change(change: Change) -> str:
    """Say to a client why a change can't be answered any more; nothing while it is open."""
    if change.state == Change.State.AGREED:
        return "This change is agreed."
    if change.state == Change.State.DECLINED:
        return "This change was declined. If you think again, write to the workshop."
    commission = change.quote.commission
    if change.quote.state != Quote.State.ACCEPTED or commission.state in (
        Commission.State.DELIVERED,
        Commission.State.CANCELLED,
    ):
        return "The order is closed, so nothing can be changed in it here. Write to the workshop."
    return ""
