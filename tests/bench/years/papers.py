"""Which rows of clients, quotes, invoices and payments are copied."""

from django.db.models import Model

from quotes import models as papers
from quotes.models import Commission, Quote
from tests.bench.years.rows import DAYS, Copies
from tests.bench.years.times import Kinds, Times, numbered


def papers_of_orders(times: Times, kinds: Kinds) -> list[Copies]:
    rows = [
        Copies(
            model=papers.Client,
            times=times.clients,
            also={"name": "old.name || ' ' || turn"},
            days=0,
        )
    ]
    for keys, each, days in (
        (kinds.settled_orders, times.orders, DAYS),
        (kinds.open_orders, times.open, 60),
    ):
        rows += _orders_of(keys, each, days, times)
    return rows


def _orders_of(keys: str, each: int, days: int, times: Times) -> list[Copies]:
    settled = "" if each == times.orders and days != DAYS else " AND old.state <> 'draft'"
    quotes = f"SELECT id FROM quotes_quote AS old WHERE commission_id IN ({keys}){settled}"
    of_quote = f"old.quote_id IN ({quotes.replace(' AS old', '').replace('old.', '')})"
    ours = f"old.commission_id IN ({keys})"
    issued = {"number": numbered("old.issued_on", "old.number", each, days)}
    received = {"number": numbered("old.received_on", "old.number", each, days)}
    quote = {"quote": each}
    plain: list[tuple[type[Model], dict[str, int | str]]] = [
        (papers.QuoteStage, quote),
        (papers.QuoteMaterial, {**quote, "lot": times.stock}),
        (papers.QuoteExtra, quote),
        (papers.QuoteFailure, {**quote, "stage": each, "redo_from": each}),
        (papers.Decision, {**quote, "change": each}),
    ]
    return [
        Copies(
            model=Commission,
            times=each,
            where=f"old.id IN ({keys})",
            links={"client": times.clients},
            days=days,
        ),
        Copies(
            model=Quote,
            times=each,
            where=f"{ours}{settled}",
            links={"commission": each, "build": each},
            also={"number": f"CASE WHEN old.number = '' THEN '' ELSE {issued['number']} END"},
            days=days,
        ),
        *(
            Copies(model=model, times=each, where=of_quote, links=links, days=days)
            for model, links in plain
        ),
        Copies(
            model=papers.Change,
            times=each,
            where=ours,
            links={"commission": each, "quote": each, "before": each, "stage": each},
            days=days,
        ),
        Copies(
            model=papers.ClientLink,
            times=each,
            where=of_quote,
            links={**quote, "change": each},
            also={"secret_sha256": "substr(old.secret_sha256, 1, 50) || turn"},
            days=days,
        ),
        Copies(
            model=papers.Invoice,
            times=each,
            where=ours,
            links={"commission": each, "quote": each, "change": each, "credits": each},
            also=issued,
            days=days,
        ),
        Copies(
            model=papers.Payment,
            times=each,
            where=ours,
            links={
                "client": times.clients,
                "commission": each,
                "invoice": each,
                "counter_to": each,
            },
            also=received,
            days=days,
        ),
    ]
