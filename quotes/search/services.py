"""Brings the index of the search up to date, and looks after its triggers."""

from django.db import transaction

from quotes.search.bookkeeping import (
    drop_triggers,
    is_there,
    outdated_triggers,
    take_in_changes,
    triggers,
    unwatched,
    watch,
)
from quotes.search.queries.index import something_is_stale


def update_search() -> None:
    """Take into the index what changed since the last search; writes nothing if nothing did."""
    if something_is_stale():
        with transaction.atomic():
            take_in_changes()


@transaction.atomic
def watch_for_search() -> None:
    """Set the triggers that are missing, drop those of an earlier version, and take in all changes.

    Altering a table on SQLite drops its triggers; the rows of its kind are then taken in anew.
    """
    if not is_there():
        return
    drop_triggers(outdated_triggers())
    for kind in unwatched():
        watch(kind)
    if something_is_stale():
        take_in_changes()


@transaction.atomic
def stop_watching_for_search() -> None:
    """Drop the triggers before tables are altered, which SQLite refuses beside some of them."""
    if is_there():
        drop_triggers(list(triggers()))
