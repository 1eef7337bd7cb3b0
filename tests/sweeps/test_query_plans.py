"""The questions that must not read whole tables are answered by their index, on both databases."""

import pytest
from django.apps import apps
from django.db import connection, models
from django.db.models import Max

from inventory.models import Bill, Lot, Need, Promise, Reason, StockEntry
from quotes.models import ClientMessage, Decision, Invoice, Quote
from shop.models import TimeEntry, TimeShare

QUESTIONS = {
    "entry_of_any_holder": lambda: StockEntry.objects.filter(holder="build:12"),
    "entry_about": lambda: StockEntry.objects.filter(about=12),
    "entry_of_act": lambda: StockEntry.objects.filter(act=12),
    "entry_to_reconcile": lambda: StockEntry.objects.filter(
        material=12, to_reconcile=True, reconciled_at=None
    ),
    "an_entry_is_corrected_once": lambda: StockEntry.objects.filter(
        about=12, reason=Reason.CORRECTED
    ),
    "bill_entered_once": lambda: Bill.objects.filter(supplier=12, number="BS 1187", void_why=""),
    "lot_on_shelf": lambda: Lot.objects.filter(material=12, remaining__gt=0),
    "promise_open": lambda: Promise.objects.filter(material=12, outstanding__gt=0),
    "a_piece_is_promised_once": lambda: Promise.objects.filter(
        lot=12, lot__isnull=False, outstanding__gt=0
    ),
    "running_clocks": lambda: TimeEntry.objects.filter(seconds=None, day__gte="2027-01-01"),
    "paused_at_midnight": lambda: TimeEntry.objects.filter(is_unsure=True),
    "reasons_not_billable": lambda: (
        TimeEntry.objects.filter(is_billable=False, seconds__gt=0)
        .exclude(reason="")
        .values_list("reason")
        .annotate(last=Max("recorded_at"))
    ),
    "one_share_per_build_at_large": lambda: TimeShare.objects.filter(stage=None, entry=1),
    "one_decision_of_a_quote": lambda: Decision.objects.filter(quote=12, change=None),
    "client_message_unseen": lambda: ClientMessage.objects.filter(seen_at=None),
    "quote_number_and_version_once": lambda: Quote.objects.filter(
        number="Q-2027-001", version=1, part_of=None
    ).exclude(number=""),
    "quotes_by_number": lambda: Quote.objects.filter(number="Q-2027-001"),
    "invoices_unsettled": lambda: Invoice.objects.filter(unsettled__gt=0),
}
"""Each index that holds some rows only, and a question as the program asks it."""


@pytest.fixture
def no_whole_tables(db):
    """Let PostgreSQL read no whole table where there is another way: here all are empty."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SET LOCAL enable_seqscan = off")


def plan_of(rows):
    return rows.order_by().explain()


def assert_answered_by(index, plan):
    """PostgreSQL infers when a condition holds, and of an empty table takes any index that fits."""
    if connection.vendor == "postgresql":
        assert "Index" in plan, plan
        assert f"Seq Scan on {StockEntry._meta.db_table}" not in plan, plan
    else:
        assert index in plan, plan


@pytest.mark.parametrize("index", QUESTIONS)
def test_a_question_is_answered_by_its_index(no_whole_tables, index):
    assert_answered_by(index, plan_of(QUESTIONS[index]()))


def test_holders_named_by_another_table_are_found_by_the_index(no_whole_tables):
    held = StockEntry.objects.filter(holder__in=Need.objects.values("holder"))
    assert_answered_by("entry_of_any_holder", plan_of(held))


def test_every_index_of_some_rows_has_its_question():
    partial = {
        one.name
        for model in apps.get_models()
        if model._meta.app_label in {"inventory", "shop", "quotes"}
        for one in (*model._meta.indexes, *model._meta.constraints)
        if not isinstance(one, models.CheckConstraint) and one.condition is not None
    }
    assert partial - QUESTIONS.keys() == set()
