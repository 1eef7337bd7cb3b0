"""What a client reads at a secret link: the frozen paper, and nothing behind it."""

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import date

from django.db.models import Q, QuerySet

from inventory.base.calc.days import day_words
from inventory.models import Workshop
from quotes.base.calc.snapshot import from_data
from quotes.changes.documents import agreement_beside, further_now
from quotes.changes.queries import closed_to_change, current_specification
from quotes.invoicing.documents import bank_account
from quotes.links.calc import hash_secret
from quotes.models import Change, ClientLink, Commission, Decision, PricingPolicy, Quote
from quotes.papers.documents.agreed_papers import ChangePaper
from quotes.papers.documents.papers import BankAccount, QuotePaper
from quotes.papers.documents.quote import paper_parts, paper_totals, tax_name
from quotes.papers.queries import rows_with_options
from quotes.pricing.calc.choices import options_chosen, with_choices
from quotes.pricing.calc.offer import Offer, read_parts
from quotes.pricing.queries.choices import frozen_choices
from quotes.quoting.queries.quote_list import is_past
from shop.builds.queries.notes import released_photos
from shop.models import BuildNote
from shop.queue.queries.told import Told, told_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Ordered:
    """What a client reads of an instrument that is ordered: where to pay to, and how far it is.

    `photos` are those that the maker released, the newest first; `told` is what the maker lets
    the client see of the queue.
    """

    title: str
    bank: BankAccount | None
    serial: str
    stages: int
    stages_done: int
    finished_on: date | None
    photos: tuple[BuildNote, ...]
    told: Told

    @property
    def percent(self) -> int:
        """How many of the stages are done, in percent."""
        return 100 * self.stages_done // self.stages if self.stages else 0


@dataclass(frozen=True, slots=True, kw_only=True)
class ClientPage:
    """A quote as its client sees it on the day; `closed` says why it can't be answered any more.

    `chosen` are the offered options that are on in `paper`.
    """

    paper: QuotePaper
    chosen: tuple[str, ...]
    closed: str
    decision: Decision | None
    currency: str
    ordered: tuple[Ordered, ...] = ()

    @property
    def included(self) -> tuple[str, ...]:
        """The options in the price that the client can't choose."""
        offered = {option.name for option in self.paper.offered}
        return tuple(name for name in self.paper.options if name not in offered)


def open_links(secret: str, on: date, *, to_change: bool = False) -> QuerySet[ClientLink]:
    """Return the link with this secret if it opens on the day: to a quote, or to a change.

    One to an accepted quote stays open until delivery, so that its client can follow the build.
    """
    ordered = Q(
        change=None,
        quote__state=Quote.State.ACCEPTED,
        quote__commission__state=Commission.State.ACCEPTED,
    )
    return ClientLink.objects.filter(
        Q(expires_on__gte=on) | ordered,
        secret_sha256=hash_secret(secret),
        withdrawn_at=None,
        change__isnull=not to_change,
    )


def find_link(secret: str, on: date) -> ClientLink | None:
    """Return the link to a quote with this secret if it opens on the day. One query."""
    return open_links(secret, on).select_related("quote__commission", "quote__build").first()


def client_page(quote: Quote, on: date, wanted: Collection[str] | None = None) -> ClientPage:
    """Gather the page; with `wanted`, as it reads when these of the offered options are on.

    Raises Refusal on an option that is not offered.
    """
    frozen = quote.frozen or {}
    paper = from_data(QuotePaper, frozen["paper"])
    offered = {option.name for option in paper.offered}
    if wanted is None:
        wanted = [name for name in quote.options if name in offered]
    options = options_chosen(quote.options, frozen_choices(quote), wanted)
    if set(options) != set(quote.options):
        paper = _with_options(quote, paper, options)
    if quote.state == Quote.State.ACCEPTED:
        now = current_specification(quote)
        paper = replace(
            paper,
            rows=now.rows,
            specification=now.text,
            further=tuple(further_now(quote, paper)),
        )
    return ClientPage(
        paper=paper,
        chosen=tuple(name for name in options if name in offered),
        closed=closed_words(quote, on),
        decision=quote.decisions.filter(change=None).first(),
        currency=quote.currency,
        ordered=tuple(_ordered(one, on) for one in quote.instruments)
        if quote.state == Quote.State.ACCEPTED
        else (),
    )


def _ordered(quote: Quote, on: date) -> Ordered:
    build = quote.build
    stages = list(build.stages.all()) if build else []
    workshop, policy = Workshop.objects.get(), PricingPolicy.objects.first()
    return Ordered(
        title=quote.title,
        bank=bank_account(policy, workshop) if policy else None,
        serial=build.serial if build else "",
        stages=len(stages),
        stages_done=sum(1 for stage in stages if stage.finished_at),
        finished_on=build.finished_on if build else None,
        photos=tuple(released_photos(build)) if build else (),
        told=told_of(build, on) if build else Told(),
    )


def closed_words(quote: Quote, on: date) -> str:
    """Say to a client why a quote can't be answered any more; nothing while it is open."""
    if is_past(quote, on) or quote.state == Quote.State.LAPSED:
        last = quote.valid_until
        day = f" on {day_words(last)}" if last else ""
        return f"This quote expired{day}. Write to the workshop for a new one."
    return {
        Quote.State.ACCEPTED: "This quote is accepted, and the instrument is ordered.",
        Quote.State.CANCELLED: "This order was cancelled.",
        Quote.State.DECLINED: "This quote was declined. "
        "If you change your mind, write to the workshop.",
        Quote.State.REPLACED: "A newer quote replaces this one. Ask the workshop for its link.",
        Quote.State.DRAFT: "This quote is not sent yet.",
    }.get(Quote.State(quote.state), "")


def _with_options(quote: Quote, paper: QuotePaper, options: list[str]) -> QuotePaper:
    offer = with_choices(
        from_data(Offer, (quote.frozen or {})["offer"]),
        frozen_choices(quote),
        options,
        read_parts(quote.parts),
    )
    return replace(
        paper,
        options=tuple(options),
        rows=rows_with_options(quote, paper.rows, options),
        totals=paper_totals(offer.document, offer.currency, quote.title, tax_name()),
        parts=paper_parts(quote, offer),
        ready_on=offer.ready_on,
    )


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
