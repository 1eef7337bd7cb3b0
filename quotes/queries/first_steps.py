"""The first steps of a new workshop, told from what is in its books."""

from dataclasses import dataclass

from inventory.models import Material
from quotes.models import Client, PricingPolicy, Quote
from shop.models import Build, BuildState, BuildTemplate, Device

PAST_BEGINNING = (BuildState.FINISHED, BuildState.CLOSED)


@dataclass(frozen=True, slots=True)
class FirstStep:
    """One step: what to do, why, whether it is done, and the name and key of its page."""

    words: str
    why: str
    is_done: bool
    page: str
    key: int | None = None


def first_steps() -> list[FirstStep]:
    """Return the steps in order; nothing when all are done, or once a build was finished here.

    Seven queries at most.
    """
    if Build.objects.filter(state__in=PAST_BEGINNING).exists():
        return []
    has_client = Client.objects.exists()
    starter = BuildTemplate.objects.filter(is_archived=False).order_by("-is_starter", "name")
    pattern = starter.values_list("pk", flat=True).first()
    steps = [
        FirstStep(
            "Say how you price",
            "Shop rate, markup, deposit and tax. Every quote begins with them.",
            PricingPolicy.objects.exists(),
            "pricing_policy",
        ),
        FirstStep(
            "Stock your materials",
            "All of a pattern's at once, or one by one. Prices can be put right later.",
            Material.objects.exists(),
            "template_stock" if pattern else "new_material",
            pattern,
        ),
        FirstStep(
            "Make a pattern your own",
            "Copy a starter, or put your own figures in it and say that they are yours.",
            BuildTemplate.objects.filter(is_starter=False).exists(),
            "templates",
        ),
        FirstStep(
            "Quote a commission",
            "Write the client down, then draft the quote: nothing is sent until you issue it.",
            Quote.objects.exists(),
            "quote_new" if has_client else "client_new",
        ),
        FirstStep(
            "Pair a phone",
            "For the clock, draws and counts at the bench.",
            Device.objects.exists(),
            "devices",
        ),
    ]
    return [] if all(step.is_done for step in steps) else steps
