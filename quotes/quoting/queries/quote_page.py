"""Everything that a quote's own page shows."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import QuerySet

from inventory.base.calc.money import round_money
from inventory.base.calc.steps import as_percent
from inventory.base.calc.units import unit_word
from inventory.base.refusals import Refusal
from quotes.base.calc.checks import HUNDRED
from quotes.base.calc.figures import Figure, amount_of, plain, total
from quotes.changes.queries import (
    ChangeStanding,
    SpecificationStep,
    current_specification,
    specification_steps,
    standings_of,
)
from quotes.closing.calc.close_out import ContingencyUse
from quotes.closing.queries.contingency import contingency_use
from quotes.links.queries import ClientSide, client_side
from quotes.models import (
    Change,
    CloseOut,
    ContingencyBy,
    Quote,
    QuoteExtra,
    QuoteMaterial,
    QuoteStage,
)
from quotes.papers.documents.papers import SpecificationRow, described
from quotes.papers.queries import SpecLine, spec_lines
from quotes.pricing.calc.choices import PricedOption
from quotes.pricing.calc.fees import dealer_hourly
from quotes.pricing.calc.margins import margin_of_markup, price_per_hour
from quotes.pricing.calc.offer import Offer
from quotes.pricing.queries.choices import choices_of, option_names
from quotes.pricing.queries.failures import FailurePage, failure_page
from quotes.pricing.queries.offer import offer_of
from quotes.pricing.queries.pricing import QUOTE_ROWS, is_on, stages_on
from quotes.pricing.queries.taxing import caution_of
from quotes.quoting.queries.holds import HeldStock, held_by, lost_of
from quotes.quoting.queries.issue_check import floor_of
from quotes.quoting.queries.quote_list import QuoteStanding, standing_of

REVISABLE = {Quote.State.ISSUED, Quote.State.LAPSED, Quote.State.DECLINED}


@dataclass(frozen=True, slots=True, kw_only=True)
class StageLine:
    """A stage on the page: its row, whether it counts, and what it comes to."""

    row: QuoteStage
    is_on: bool
    amount: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CostedMaterial:
    """A material on the page: its row, whether it counts, its cost and how that came about."""

    row: QuoteMaterial
    is_on: bool
    cost: Decimal | None
    how: str
    warning: str

    @property
    def unit_word(self) -> str:
        """The unit beside the quantity; nothing for a plain count."""
        word = unit_word(self.row.unit)
        return "" if word == "each" else word


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionLine:
    """An option on the page, and what switching it alone would change, where that has a price."""

    name: str
    is_on: bool
    is_offered: bool
    one_of: str
    choice: PricedOption | None

    @property
    def net(self) -> Figure | None:
        """The difference of the net, opening to the steps that differ."""
        if self.choice is None:
            return None
        name = f"Without {self.name}" if self.is_on else f"With {self.name}"
        return Figure(name=name, amount=self.choice.net, parts=self.choice.steps)


@dataclass(frozen=True, slots=True, kw_only=True)
class InstrumentLine:
    """One of several instruments on the page of its order, with its hours.

    price: what is paid for it, net, a dealer's discount taken off.
    """

    row: Quote
    price: Decimal | None
    hours: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class QuotePage:
    """A quote with its figures; `offer` is missing while `refusal` says why there is no price."""

    quote: Quote
    offer: Offer | None
    refusal: str
    stages: list[StageLine]
    materials: list[CostedMaterial]
    extras: list[QuoteExtra]
    options: list[OptionLine]
    versions: list[Quote]
    last_close_out: CloseOut | None
    standing: QuoteStanding
    held: list[HeldStock]
    client: ClientSide | None
    failures: FailurePage
    contingency_use: ContingencyUse | None
    changes: list[ChangeStanding]
    steps: list[SpecificationStep]
    specification: tuple[SpecificationRow, ...]
    empty_rows: tuple[str, ...]
    tax_caution: str
    instruments: list[InstrumentLine]

    @property
    def seeded(self) -> int:
        """How many lines that count name no material of the shop."""
        return sum(line.is_on and line.row.material is None for line in self.materials)

    @property
    def lost(self) -> str:
        """What was held for the quote and has gone; nothing where all of it is there."""
        return lost_of(self.held)

    @property
    def is_open(self) -> bool:
        """Say whether the client may still say yes or no."""
        return self.standing.state == Quote.State.ISSUED

    @property
    def can_revise(self) -> bool:
        """Say whether a next version may be begun."""
        is_drafted = any(other.is_draft for other in self.versions)
        was_sent = bool(self.quote.number) and self.standing.state in REVISABLE
        return was_sent and not is_drafted

    @property
    def can_hold(self) -> bool:
        """Say whether stock may be put aside for the quote."""
        return self.is_open or self.quote.is_draft

    @property
    def markup_words(self) -> str:
        """The markup on materials with the margin that it is."""
        markup = self.quote.material_markup
        margin = round_money(margin_of_markup(markup * 100))
        return f"{as_percent(markup)} on cost, a margin of {plain(margin)} %"

    @property
    def contingency_words(self) -> str:
        """The contingency and what it is worked out from."""
        if self.quote.contingency_by == ContingencyBy.FAILURES:
            return "from what may go wrong"
        return f"{as_percent(self.quote.contingency)} of labour"

    @property
    def contingency(self) -> Decimal | None:
        """The contingency in the price; None while there is none."""
        return self.offer.sheet.amount("contingency") if self.offer else None

    @property
    def hourly(self) -> Decimal | None:
        """What an hour would earn: the price less everything bought, over the hours."""
        if self.offer is None or not self.offer.sheet.hours:
            return None
        sheet = self.offer.sheet
        return price_per_hour(sheet.price, self.offer.bought + sheet.amount("fees"), sheet.hours)

    @property
    def margin(self) -> Decimal | None:
        """What is left after everything bought, in percent of what is paid for it, net."""
        if self.offer is None or not self.offer.sheet.own_net:
            return None
        sheet = self.offer.sheet
        left = sheet.own_net - self.offer.bought - sheet.amount("fees")
        return HUNDRED * left / sheet.own_net

    @property
    def dealer_hourly(self) -> Decimal | None:
        """The same when the dealer's discount is off: the rate to test before agreeing to it."""
        if self.offer is None or not self.offer.sheet.hours or not self.quote.dealer_discount:
            return None
        sheet = self.offer.sheet
        chosen = total(sheet.chosen)  # priced with the discount off
        return dealer_hourly(
            sheet.price - chosen,
            self.quote.dealer_discount * HUNDRED,
            materials=self.offer.bought + sheet.amount("fees") - chosen,
            hours=sheet.hours,
        )


def quote_page(pk: int, on: date) -> QuotePage:
    """Gather a quote's page for a day. Raises Quote.DoesNotExist."""
    quotes = Quote.objects.select_related("commission__client", "template", "build", "part_of")
    quote = quotes.prefetch_related(*QUOTE_ROWS).get(pk=pk)
    held = held_by([quote]).get(pk, [])
    specs = spec_lines(quote) if quote.is_draft else []
    offer, refusal = _offer(quote, on)
    steps = offer.sheet.steps if offer else ()
    costs = {line.key: line for line in offer.materials} if offer else {}
    return QuotePage(
        quote=quote,
        offer=offer,
        refusal=refusal,
        stages=[_stage(row, quote, steps) for row in quote.stages.all()],
        materials=[
            CostedMaterial(
                row=row,
                is_on=is_on(row, quote),
                cost=line.cost if (line := costs.get(f"material:{row.pk}")) else None,
                how=line.how if line else "",
                warning=line.warning if line else "",
            )
            for row in quote.materials.all()
        ],
        extras=list(quote.extras.all()),
        options=_options(quote, choices_of(quote, offer, on=on) if offer else ()),
        versions=list(_versions(quote)),
        last_close_out=floor_of(quote),
        standing=standing_of(quote, on, gross=offer.document.due if offer else None, held=held),
        held=held,
        client=None if quote.is_draft else client_side(quote, on),
        failures=failure_page(quote, offer),
        contingency_use=contingency_use(quote.build, quote, offer) if quote.build else None,
        changes=standings_of(_changes(quote), [quote.commission.client], on)
        if quote.state == Quote.State.ACCEPTED
        else [],
        steps=specification_steps(quote) if quote.state == Quote.State.ACCEPTED else [],
        specification=specification_now(quote, specs),
        empty_rows=tuple(line.row.name for line in specs if line.is_missing),
        tax_caution=caution_of(quote) if quote.is_draft else "",
        instruments=_instruments(quote, offer),
    )


def _instruments(quote: Quote, offer: Offer | None) -> list[InstrumentLine]:
    """Return the instruments of an order; nothing where there is only one."""
    further = offer.sheet.find("further") if offer else None
    prices = {figure.key: figure.amount for figure in further.parts} if further else {}
    own = offer.sheet.own_net if offer else None
    rows = quote.instruments
    if len(rows) == 1:
        return []
    return [
        InstrumentLine(
            row=row,
            price=own if row.pk == quote.pk else prices.get(f"instrument:{row.pk}"),
            hours=sum((stage.hours for stage in stages_on(row)), Decimal(0)),
        )
        for row in rows
    ]


def specification_now(quote: Quote, specs: list[SpecLine]) -> tuple[SpecificationRow, ...]:
    """Return what it says: a draft as it stands, a quote that was ordered as it is built now."""
    if quote.is_draft:
        rows = [line.says for line in specs if line.says.words]
        return described(rows, quote.specification)
    now = current_specification(quote)
    return described(now.rows, now.text)


def _offer(quote: Quote, on: date) -> tuple[Offer | None, str]:
    try:
        return offer_of(quote, on=on), ""
    except Refusal as refusal:
        return None, refusal.sentence


def _stage(row: QuoteStage, quote: Quote, steps: tuple[Figure, ...]) -> StageLine:
    counts = is_on(row, quote)
    amount = amount_of(steps, f"stage:{row.pk}") if counts and steps else None
    return StageLine(row=row, is_on=counts, amount=amount)


def _options(quote: Quote, choices: tuple[PricedOption, ...]) -> list[OptionLine]:
    priced = {choice.name: choice for choice in choices}
    return [
        OptionLine(
            name=name,
            is_on=name in quote.options,
            is_offered=name in quote.offered,
            one_of=quote.one_of.get(name, ""),
            choice=priced.get(name),
        )
        for name in option_names(quote)
    ]


def _changes(quote: Quote) -> QuerySet[Change]:
    """Return the changes to a quote and its further instruments, in the order of their numbers."""
    return Change.objects.filter(quote__in=quote.instruments).select_related("quote")


def _versions(quote: Quote) -> list[Quote]:
    if not quote.number:
        return []
    return list(Quote.offers.filter(number=quote.number).exclude(pk=quote.pk).order_by("version"))
