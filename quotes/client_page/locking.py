"""The lock on a client's link."""

from datetime import date

from inventory.base.refusals import Refusal
from quotes.client_page.queries import open_links
from quotes.links.calc import hash_secret
from quotes.models import ClientLink


class LinkNotOpen(Refusal):
    """A secret that opens nothing: mistyped, withdrawn or past its last day, which is all one."""

    def __init__(self) -> None:
        super().__init__(
            "This link does not work. It may have expired, or part of it is missing. "
            "Ask the workshop for a new one."
        )


def lock_link(secret: str, on: date, *, to_change: bool = False) -> ClientLink:
    """Lock the link with this secret and return it as it is now. Raises LinkNotOpen.

    A link to a quote opens no change and a link to a change no quote.
    """
    # No join: whoever waited here may find the link moved to a version that was made meanwhile.
    links = ClientLink.objects.select_for_update().filter(secret_sha256=hash_secret(secret))
    link = links.first()
    if link is None or not open_links(secret, on, to_change=to_change).exists():
        raise LinkNotOpen
    return link
