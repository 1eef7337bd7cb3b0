"""What a quote offers: worked out from its rows while a draft, read back as it was once sent."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

from inventory.base.calc.money import minor_unit_of, round_money
from inventory.base.queries import home_currency
from inventory.base.refusals import Refusal
from quotes.base.calc.checks import HUNDRED
from quotes.base.calc.figures import Figure
from quotes.base.calc.snapshot import from_data
from quotes.models import Quote, QuoteExtra, QuoteStage
from quotes.pricing.calc.currency import ClientMoney, ClientPrice, in_client_money
from quotes.pricing.calc.offer import Offer, OfferedMaterial, OfferedStage, read_parts
from quotes.pricing.calc.parts import payment_parts
from quotes.pricing.calc.pricing import PriceSheet
from quotes.pricing.queries.costing import SMALLEST, CostedLine, quantity_words
from quotes.pricing.queries.pricing import costed_lines, sheet_of, stages_on
from quotes.pricing.queries.ready import ReadyDay


def offer_of(quote: Quote, *, on: date) -> Offer:
    """Return what the quote says: as it was sent, or for a draft at the prices of the day.

    A draft has no day unless one was set by hand: see `live_offer`.
    """
    if quote.frozen:
        return from_data(Offer, quote.frozen["offer"])
    return live_offer(quote, on=on)


def live_offer(
    quote: Quote,
    *,
    on: date,
    home: str = "",
    ready: ReadyDay | None = None,
) -> Offer:
    """Work the quote out from its rows at the replacement prices of the day.

    ready: what `ready_by_queue` says, which takes the whole queue to work out; without it the day
    is the one set by hand, or none. `home` saves its question where the caller has asked it.
    """
    stages = list(stages_on(quote))
    lines = costed_lines(quote, on)
    extras = list(quote.extras.all())
    home = home or home_currency()
    sheet = sheet_of(quote, stages, lines, extras, home=home)
    client_price = _client_price(quote, sheet, home)
    due = (client_price.document if client_price else sheet.document).due
    offer = Offer(
        home_currency=home,
        currency=quote.currency,
        sheet=sheet,
        client_price=client_price,
        parts=payment_parts(due, read_parts(quote.parts), minor_unit_of(quote.currency)),
        stages=tuple(_stage(stage) for stage in stages),
        materials=tuple(_material(line, minor_unit_of(home)) for line in lines),
        allowances=tuple(_allowances(extras)),
        ready_on=ready.day if ready else None,
        ready_because=ready.because if ready else "",
        ready_steps=ready.steps if ready else (),
    )
    if quote.ready_on:
        return replace(offer, ready_on=quote.ready_on, ready_because="set by hand", ready_steps=())
    return offer


def _client_price(quote: Quote, sheet: PriceSheet, home: str) -> ClientPrice | None:
    if quote.currency == home:
        return None
    if quote.exchange_rate_on is None:
        raise Refusal(
            f"Give the exchange rate ({quote.currency} for 1 {home}) and its date.",
            field="exchange_rate",
        )
    money = ClientMoney(
        currency=quote.currency,
        rate=quote.exchange_rate,
        rated_on=quote.exchange_rate_on,
        buffer_percent=quote.currency_buffer * HUNDRED,
        step=quote.client_step,
        unit=minor_unit_of(quote.currency),
    )
    return in_client_money(sheet, money)


def _stage(stage: QuoteStage) -> OfferedStage:
    return OfferedStage(
        key=f"stage:{stage.pk}",
        name=stage.name,
        hours=stage.hours,
        hours_low=stage.hours_low,
        hours_high=stage.hours_high,
        waiting_days=stage.waiting_days,
        basis=stage.basis,
    )


def _material(line: CostedLine, minor_unit: Decimal) -> OfferedMaterial:
    row = line.row
    return OfferedMaterial(
        key=f"material:{row.pk}",
        name=row.name,
        family=row.family.name if row.family else "",
        quantity=quantity_words(row.quantity, row.unit),
        net=round_money(line.net, SMALLEST),
        to_draw=line.to_draw,
        cost=round_money(line.cost, minor_unit),
        waste=round_money(line.cost * line.wasted_share, minor_unit),
        how=line.how,
        warning=line.warning,
    )


def _allowances(extras: list[QuoteExtra]) -> list[Figure]:
    return [
        Figure(name=row.name, amount=row.cost, key=f"extra:{row.pk}")
        for row in extras
        if row.kind == row.Kind.ALLOWANCE
    ]
