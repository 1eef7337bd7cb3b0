"""Twenty years of the demo workshop: which of its rows are multiplied, how often, and how varied.

Copies lie further and further back in time, each row a little different: hours, quantities, how
much was drawn of what, names and numbers. Balances that services keep are added up afterwards.
"""

from django.apps import apps
from django.core.management.color import no_style
from django.db import connection, transaction

from inventory.models import Lot, StockEntry
from quotes.models import Invoice, Quote
from shop.hours.bookkeeping import keep_hours
from shop.models import FINISHED_STATES, Build, TimeEntry
from tests.bench.years.builds import builds_made, hours_worked
from tests.bench.years.journal import add_up, draw_more, empty_old_shelves
from tests.bench.years.papers import papers_of_orders
from tests.bench.years.rows import copy_rows, execute, is_postgres, number_the_turns
from tests.bench.years.stock import materials_bought, stock_rows
from tests.bench.years.times import Kinds, Times

LARGE = 1000
"""Copies of every delivered order in twenty years; everything else is in proportion."""
AT_ONCE = 500
COUNTED = {
    "stock entries": StockEntry,
    "lots": Lot,
    "builds": Build,
    "time entries": TimeEntry,
    "quotes": Quote,
    "invoices": Invoice,
}


def grow(orders: int = LARGE) -> None:
    """Multiply the demo in this database up to `orders` copies of each delivered order."""
    times = Times(orders)
    _let_foreign_keys_be(True)
    try:
        with transaction.atomic():
            number_the_turns(3 * orders)
            kinds = Kinds.read()
            for wanted in (
                *materials_bought(times),
                *stock_rows(times, kinds),
                *builds_made(times, kinds),
                *papers_of_orders(times, kinds),
                *hours_worked(times, kinds),
            ):
                copy_rows(wanted)
            draw_more(times, kinds)
            empty_old_shelves(times)
            add_up()
            _keep_hours()
            execute("DROP TABLE turns")
    finally:
        _let_foreign_keys_be(False)
    _begin_keys_after()
    execute("ANALYZE")


def sizes() -> str:
    """Say how many rows of each kind there are."""
    return ", ".join(f"{model._base_manager.count():,} {name}" for name, model in COUNTED.items())


def _keep_hours() -> None:
    """Add up the hours of the copied builds, as finishing them would have done."""
    finished = Build.objects.filter(state__in=FINISHED_STATES).order_by("pk")
    keys = list(finished.values_list("pk", flat=True))
    for first in range(0, len(keys), AT_ONCE):
        keep_hours(keys[first : first + AT_ONCE])


def _let_foreign_keys_be(free: bool) -> None:
    """Switch the checks of foreign keys off while millions of rows are written, and on again."""
    if is_postgres():
        execute(f"SET session_replication_role = {'replica' if free else 'DEFAULT'}")
    elif not connection.in_atomic_block:  # there, keys are looked at when all is written
        execute(f"PRAGMA foreign_keys = {'OFF' if free else 'ON'}")
        execute(f"PRAGMA synchronous = {'OFF' if free else 'NORMAL'}")


def _begin_keys_after() -> None:
    """Let the next keys of PostgreSQL come after those that were written."""
    for statement in connection.ops.sequence_reset_sql(no_style(), apps.get_models()):
        execute(statement)
