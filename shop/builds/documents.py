"""The card that hangs at the bench, on paper."""

from datetime import date

from inventory.base.documents import page_size, write_pdf
from inventory.models import Workshop
from shop.builds.queries.job_card import JobCard


def print_job_card(card: JobCard, workshop: Workshop, on: date) -> bytes:
    """Return `card` as PDF, A4 or Letter as the workshop's country has it."""
    context = {
        "card": card,
        "build": card.build,
        "shop": workshop,
        "made_on": on,
        "size": page_size(workshop.country),
    }
    return write_pdf("shop/papers/job_card.html", context, goal=2)
