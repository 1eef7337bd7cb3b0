"""Twenty years of the demo workshop: which of its rows are multiplied, how often, and how varied.

Copies lie further and further back in time, each row a little different: hours, quantities, how
much was drawn of what, names and numbers. Balances that services keep are added up afterwards.
"""

from dataclasses import dataclass

from django.apps import apps
from django.core.management.color import no_style
from django.db import connection, transaction
from django.db.models import Model

from inventory import models as stock
from inventory.models import Lot, Material, StockEntry
from quotes import models as papers
from quotes.models import Commission, Quote
from shop import models as bench
from shop.models import Batch, Build, BuildDraw, BuildState, TimeEntry, TimeShare
from tests.bench.years.rows import (
    DAYS,
    STRIDE,
    Copies,
    copy_rows,
    earlier,
    execute,
    number_the_turns,
    varied,
    year_of,
)

LARGE = 1000
"""Copies of every delivered order in twenty years; everything else is in proportion."""
DRAWS_FROM = 10_000_000


@dataclass(frozen=True)
class Times:
    """How often each kind of rows is copied."""

    orders: int

    @property
    def past(self) -> int:
        return max(self.orders // 8, 1)

    @property
    def stock(self) -> int:
        return max(self.orders // 4, 1)

    @property
    def clients(self) -> int:
        return max(self.orders * 3 // 10, 1)

    @property
    def open(self) -> int:
        return min(self.stock, 11)

    @property
    def materials(self) -> int:
        return min(self.orders, 42)

    @property
    def on_shelf(self) -> int:
        return max(self.orders // 10, 1)

    @property
    def counts(self) -> int:
        return min(self.stock, 40)

    @property
    def draws_of_a_lot(self) -> tuple[int, int]:
        return 20, 198


@dataclass(frozen=True)
class Kinds:
    """The demo's builds and commissions, by what becomes of their copies (lists for SQL)."""

    delivered: str
    past: str
    open: str
    settled_orders: str
    open_orders: str

    @classmethod
    def read(cls) -> "Kinds":
        closed = Build.objects.filter(state=BuildState.CLOSED)
        settled = Commission.objects.filter(
            quotes__state__in=[Quote.State.DECLINED, Quote.State.LAPSED]
        ) | Commission.objects.filter(state=Commission.State.DELIVERED)
        return cls(
            delivered=_keys(closed.filter(quote__isnull=False)),
            past=_keys(closed.filter(quote=None)),
            open=_keys(Build.objects.exclude(state=BuildState.CLOSED)),
            settled_orders=_keys(settled),
            open_orders=_keys(Commission.objects.exclude(pk__in=settled)),
        )


def grow(orders: int = LARGE) -> None:
    """Multiply the demo in this database up to `orders` copies of each delivered order."""
    times = Times(orders)
    _let_foreign_keys_be(True)
    try:
        with transaction.atomic():
            number_the_turns(3 * orders)
            kinds = Kinds.read()
            for wanted in (
                *_materials(times),
                *_stock(times, kinds),
                *_builds(times, kinds),
                *_orders(times, kinds),
                *_hours(times, kinds),
            ):
                copy_rows(wanted)
            _draw_more(times, kinds)
            _empty_old_shelves(times)
            _add_up()
            execute("DROP TABLE turns")
    finally:
        _let_foreign_keys_be(False)
    _begin_keys_after()
    execute("ANALYZE")


def _materials(times: Times) -> list[Copies]:
    each = times.materials
    named = {"name": "old.name || ', no. ' || (turn + 1)"}
    return [
        Copies(model=stock.Supplier, times=min(each, 20), also=named, days=0),
        Copies(
            model=Material,
            times=each,
            links={"supplier": f"({varied('old.id', 1, min(each, 20))})"},
            also=named,
            days=700,
        ),
        *(
            Copies(model=model, times=each, links=links, days=0)
            for model, links in (
                (stock.PriceBreak, {"material": each}),
                (stock.Recipe, {"material": each}),
                (stock.RecipePart, {"recipe": each, "material": each}),
                (stock.SingleString, {"material": each}),
                (stock.StringSet, {"recipe": each}),
                (stock.SetString, {"string_set": each, "single": each}),
            )
        ),
    ]


def _stock(times: Times, kinds: Kinds) -> list[Copies]:
    """Deliveries, lots and the journal; every other copy is of the materials that patterns name."""
    each = times.stock
    material = f"(CASE WHEN turn % 2 = 0 THEN 0 ELSE turn % {times.materials + 1} END)"
    supplier = f"({varied('old.id', 1, min(times.materials, 20))})"
    held = _holder(times, kinds)
    ended = (
        f"CASE WHEN old.ended_at IS NULL AND turn <= {times.open} THEN NULL ELSE "
        f"{_back('coalesce(old.ended_at, old.made_at)', each, is_day=False)} END"
    )
    left = f"CASE WHEN turn <= {times.open} THEN old.outstanding ELSE 0 END"
    lot = {"lot": each}
    rows = [
        Copies(model=stock.Delivery, times=each, links={"supplier": supplier}),
        Copies(
            model=stock.Order,
            times=each,
            links={"supplier": supplier},
            also={
                "number": _numbered("old.made_on", "old.number", each, at=1),
                "closed_on": _back("old.made_on", each),
                "sent_on": _back("old.made_on", each),
            },
        ),
        Copies(model=stock.OrderLine, times=each, links={"order": each, "material": material}),
        Copies(
            model=stock.DeliveryLine,
            times=each,
            links={"delivery": each, "material": material, "order_line": each},
        ),
        Copies(
            model=Lot,
            times=each,
            links={
                "material": material,
                "supplier": supplier,
                "delivery_line": each,
                "cut_from": each,
            },
            also={"number": f"substr(old.number, 1, 2) || (turn * {STRIDE} + old.id)"},
        ),
        Copies(model=stock.Piece, times=each, links=lot),
        Copies(
            model=stock.PriceNote,
            times=each,
            links={"material": material, "supplier": supplier, "delivery_line": each},
            also={"price": f"old.price * {varied('old.id', 55, 110)} / 100.0"},
        ),
        Copies(
            model=StockEntry,
            times=each,
            links={"material": material, "lot": each, "about": each, "act": each},
            also={"holder": held, "line": f"CASE WHEN turn = 0 THEN old.line ELSE {_line()} END"},
        ),
        Copies(model=stock.Weighing, times=each, links=lot),
        Copies(model=stock.MoistureReading, times=each, links=lot),
        Copies(model=stock.Paper, times=each, links=lot),
        Copies(
            model=stock.Promise,
            times=each,
            links={"material": material, "lot": each},
            also={"holder": held, "ended_at": ended, "outstanding": left, "line": _line()},
        ),
        Copies(model=stock.PromiseUse, times=each, links={"promise": each, "entry": each}),
        Copies(
            model=stock.Need,
            times=times.open,
            where=_is_held_by("old.holder", kinds.open),
            links={"material": "(CASE WHEN turn % 2 = 0 THEN 0 ELSE turn END)"},
            also={"holder": held, "line": _line()},
            days=60,
        ),
        Copies(
            model=stock.Count,
            times=times.counts,
            also={
                "closed_at": _back("coalesce(old.closed_at, old.begun_at)", times.counts, False),
                "name": "old.name || ', ' || turn",
            },
        ),
        Copies(
            model=stock.CountLine,
            times=times.counts,
            links={
                "count": times.counts,
                "lot": each,
                "material": material.replace("turn", f"(1 + (turn - 1) * {each} / {times.counts})"),
            },
            also={"counted": "coalesce(old.counted, old.expected)"},
        ),
    ]
    draws = [
        Copies(
            model=BuildDraw,
            times=turns,
            where=f"old.build_id IN ({builds})",
            links={"build": theirs, "line": theirs, "stage": theirs, "entry": turns},
        )
        for builds, turns, theirs in (
            (kinds.delivered, each, times.orders),
            (kinds.open, times.open, times.open),
        )
    ]
    return [*rows, *draws]


def _builds(times: Times, kinds: Kinds) -> list[Copies]:
    rows = [Copies(model=Batch, times=times.past, also={"name": "old.name || ' ' || turn"})]
    for keys, each, days in (
        (kinds.delivered, times.orders, DAYS),
        (kinds.past, times.past, DAYS),
        (kinds.open, times.open, 60),
    ):
        own = {"build": each}
        of_build = f"old.build_id IN ({keys})"
        serial = f"{_year_back('old.made_on', each, days)} || '-' || (turn * {STRIDE} + old.id)"
        titled = "old.title || CASE WHEN turn % 3 = 0 THEN '' ELSE ', the ' || turn END"
        rows += [
            Copies(
                model=Build,
                times=each,
                where=f"old.id IN ({keys})",
                links={"batch": times.past},
                also={"serial": serial, "title": titled},
                days=days,
            ),
            Copies(model=bench.BuildStage, times=each, where=of_build, links=own, days=days),
            Copies(
                model=bench.BuildLine,
                times=each,
                where=of_build,
                links={**own, "stage": each},
                days=days,
            ),
            *(
                Copies(model=model, times=each, where=of_build, links=links, days=days)
                for model, links in (
                    (bench.LostDays, own),
                    (bench.BuildNote, {**own, "stage": each}),
                    (bench.SetUpReading, own),
                    (papers.Expense, own),
                    (papers.CloseOut, own),
                )
            ),
        ]
    return rows


def _orders(times: Times, kinds: Kinds) -> list[Copies]:
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
    numbered = {"number": _numbered("old.issued_on", "old.number", each, days)}
    received = {"number": _numbered("old.received_on", "old.number", each, days)}
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
            also={"number": f"CASE WHEN old.number = '' THEN '' ELSE {numbered['number']} END"},
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
            also=numbered,
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


def _hours(times: Times, kinds: Kinds) -> list[Copies]:
    """Three stretches of work for each that the demo has, all of different length."""
    rows = []
    for keys, builds, days in (
        (kinds.delivered, times.orders, DAYS),
        (kinds.past, times.past, DAYS),
        (kinds.open, times.open, 60),
    ):
        is_open = days != DAYS
        each = builds if is_open else 3 * builds
        of_build = f"SELECT entry_id FROM shop_timeshare WHERE build_id IN ({keys})"
        also = {} if is_open else {"seconds": _stretch("old.id")}
        raw = {} if is_open else {"raw_seconds": _stretch("old.id", "old.raw_seconds")}
        shared = {} if is_open else {"seconds": _stretch("old.entry_id")}
        rows += [
            Copies(
                model=TimeEntry,
                times=each,
                where=f"old.id IN ({of_build}) AND old.seconds IS NOT NULL",
                links={"within": each},
                also=also | raw,
                days=days,
            ),
            Copies(
                model=TimeShare,
                times=each,
                where=f"old.build_id IN ({keys})",
                links={"entry": each, "build": builds, "stage": builds},
                also=shared,
                days=days,
            ),
        ]
    return rows


def _stretch(key: str, seconds: str = "old.seconds") -> str:
    return f"({seconds} / 300 * {varied(key, 55, 150)} / 60 * 60 + 60)"


def _draw_more(times: Times, kinds: Kinds) -> None:
    """Draw from every lot that isn't a piece, and have received as much more of it."""
    least, most = times.draws_of_a_lot
    builds = [*kinds.delivered.split(","), *kinds.past.split(",")]
    per_order = len(kinds.delivered.split(","))
    turn = f"(1 + (lot.id + turn) * 13 % {times.orders})"
    past = f"(1 + (lot.id + turn) * 13 % {times.past})"
    which = f"(lot.id + turn * 5) % {len(builds)}"
    held = " ".join(
        f"WHEN {place} THEN {key.strip()} + {turn if place < per_order else past} * {STRIDE}"
        for place, key in enumerate(builds)
    )
    number = f"({DRAWS_FROM} + lot.id * 200 + turn)"
    quantity = (
        "(CASE WHEN material.kept_as = 'count' THEN 1000 * (1 + (lot.id + turn) % 4) "
        "ELSE 1000 * (5 + (lot.id * 31 + turn * 17) % 90) END)"
    )
    when = earlier("received.happened_at", "-turn * 3", is_day=False)
    execute(
        "INSERT INTO inventory_stockentry (id, material_id, lot_id, reason, quantity, cost, holder,"
        " line, note, happened_at, recorded_at, recorded_by_id, to_reconcile)"
        f" SELECT {number}, lot.material_id, lot.id,"
        " CASE WHEN turn % 23 = 0 THEN 'scrapped' WHEN turn % 2 = 0 THEN 'counted' ELSE 'drawn'"
        f" END, -{quantity}, -{quantity} * (3 + lot.id % 40) / 100,"
        f" CASE WHEN turn % 2 = 0 THEN '' ELSE 'build:' || (CASE {which} {held} END) END,"
        f" '', '', {when}, {when}, received.recorded_by_id, {'false' if _is_pg() else '0'}"
        " FROM inventory_lot lot JOIN inventory_material material ON material.id = lot.material_id"
        " JOIN inventory_stockentry received ON received.lot_id = lot.id"
        f" AND received.reason = 'received' AND received.id < {DRAWS_FROM}"
        f" CROSS JOIN turns WHERE material.kept_as <> 'piece' AND lot.id > {STRIDE}"
        f" AND turn <= {least} + (lot.id * 7919) % {most - least}"
    )
    execute(
        "INSERT INTO shop_builddraw (id, build_id, entry_id) SELECT id,"
        " CAST(substr(holder, 7) AS integer), id FROM inventory_stockentry"
        f" WHERE id > {DRAWS_FROM} AND holder <> ''"
    )
    execute(
        "WITH more AS (SELECT lot_id, SUM(quantity) AS quantity, SUM(cost) AS cost"
        f" FROM inventory_stockentry WHERE id > {DRAWS_FROM} GROUP BY lot_id)"
        " UPDATE inventory_stockentry SET quantity = inventory_stockentry.quantity - more.quantity,"
        " cost = inventory_stockentry.cost - more.cost FROM more"
        " WHERE more.lot_id = inventory_stockentry.lot_id AND reason = 'received'"
        f" AND id < {DRAWS_FROM}"
    )


def _empty_old_shelves(times: Times) -> None:
    """Use up what lies on the shelf of all but the latest copies."""
    old = f"lot.remaining > 0 AND lot.id > {times.on_shelf * STRIDE + STRIDE}"
    when = "received.happened_at"
    later = earlier(when, "-400", is_day=False)
    execute(
        "INSERT INTO inventory_stockentry (id, material_id, lot_id, reason, quantity, cost, holder,"
        " line, note, happened_at, recorded_at, recorded_by_id, to_reconcile)"
        f" SELECT {DRAWS_FROM} + lot.id * 200 + 199, lot.material_id, lot.id, 'sold',"
        f" -lot.remaining, -lot.remaining_cost, '', '', '', {later}, {later},"
        f" received.recorded_by_id, {'false' if _is_pg() else '0'} FROM inventory_lot lot JOIN"
        " (SELECT lot_id, MIN(happened_at) AS happened_at, MIN(recorded_by_id) AS recorded_by_id"
        f" FROM inventory_stockentry WHERE id < {DRAWS_FROM} GROUP BY lot_id) received"
        f" ON received.lot_id = lot.id WHERE {old}"
    )
    gone = f"SELECT lot.id FROM inventory_lot lot WHERE {old}"
    execute(f"UPDATE inventory_piece SET gone = 'sold' WHERE lot_id IN ({gone})")
    execute(f"UPDATE inventory_lot SET remaining = 0, remaining_cost = 0 WHERE id IN ({gone})")


def _add_up() -> None:
    """Write the balances that follow from the copied journal and promises."""
    sums = {
        "on_hand": "SELECT SUM(quantity) FROM inventory_stockentry WHERE material_id = m.id",
        "book_cost": "SELECT SUM(cost) FROM inventory_stockentry WHERE material_id = m.id",
        "promised": (
            "SELECT SUM(r.outstanding) FROM inventory_promise r"
            " LEFT JOIN inventory_lot l ON l.id = r.lot_id"
            " LEFT JOIN inventory_piece p ON p.lot_id = r.lot_id"
            " WHERE r.material_id = m.id AND (r.lot_id IS NULL OR l.remaining > 0"
            " AND p.state IN ('seasoning', 'ready'))"
        ),
        "unfit": (
            "SELECT 1000 * COUNT(*) FROM inventory_piece p JOIN inventory_lot l ON l.id = p.lot_id"
            " WHERE l.material_id = m.id AND l.remaining > 0"
            " AND p.state NOT IN ('seasoning', 'ready')"
        ),
    }
    columns = ", ".join(f"{name} = coalesce(({sql}), 0)" for name, sql in sums.items())
    execute(f"UPDATE inventory_material AS m SET {columns}")


def _holder(times: Times, kinds: Kinds) -> str:
    """Return SQL for whom a copy of stock is held: the copy of the same build, where there is one.

    What builds under way drew long ago went to builds that were delivered since.
    """
    delivered = f"(1 + (turn - 1) * {times.orders} / {times.stock}) * {STRIDE}"
    first = kinds.delivered.split(",")[0].strip()
    key = "CAST(substr(old.holder, 7) AS integer)"
    return (
        f"CASE WHEN {_is_held_by('old.holder', kinds.delivered)}"
        f" THEN 'build:' || ({key} + {delivered})"
        f" WHEN old.holder LIKE 'build:%' AND turn <= {times.open}"
        f" THEN 'build:' || ({key} + turn * {STRIDE})"
        f" WHEN old.holder LIKE 'build:%' THEN 'build:' || ({first} + {delivered})"
        f" WHEN old.holder LIKE 'quote:%' THEN 'quote:' || ({key} + turn * {STRIDE})"
        " ELSE old.holder END"
    )


def _line() -> str:
    key = "CAST(substr(old.line, {}) AS integer)"
    return (
        f"CASE WHEN old.line LIKE 'line:%' THEN 'line:' || ({key.format(6)} + turn * {STRIDE})"
        f" WHEN old.line LIKE 'row:%' THEN 'row:' || ({key.format(5)} + turn * {STRIDE})"
        " ELSE old.line END"
    )


def _is_held_by(column: str, keys: str) -> str:
    held = ", ".join(f"'build:{key.strip()}'" for key in keys.split(","))
    return f"{column} IN ({held})"


def _numbered(day: str, number: str, each: int, days: int = DAYS, at: int = 1) -> str:
    """Return SQL for a paper's number in the year of its copy, such as I-2011-483002."""
    year = _year_back(day, each, days)
    return f"substr({number}, {at}, 2) || {year} || '-' || (turn * {STRIDE} + old.id)"


def _back(column: str, each: int, is_day: bool = True, days: int = DAYS) -> str:
    return earlier(column, f"turn * {days} / {each}", is_day=is_day)


def _year_back(column: str, each: int, days: int) -> str:
    return year_of(_back(column, each, days=days))


def _keys(rows) -> str:
    return ", ".join(str(key) for key in sorted(set(rows.values_list("pk", flat=True))))


def _is_pg() -> bool:
    return connection.vendor == "postgresql"


def _let_foreign_keys_be(free: bool) -> None:
    """Switch the checks of foreign keys off while millions of rows are written, and on again."""
    if _is_pg():
        execute(f"SET session_replication_role = {'replica' if free else 'DEFAULT'}")
    else:
        execute(f"PRAGMA foreign_keys = {'OFF' if free else 'ON'}")
        execute(f"PRAGMA synchronous = {'OFF' if free else 'NORMAL'}")


def _begin_keys_after() -> None:
    """Let the next keys of PostgreSQL come after those that were written."""
    for statement in connection.ops.sequence_reset_sql(no_style(), apps.get_models()):
        execute(statement)
