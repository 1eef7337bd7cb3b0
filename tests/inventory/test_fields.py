"""Sums in the database are exact, on both databases and over a million entries."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.db.models import F, Sum

from inventory.fields import MoneyField, QuantityField, money_value
from inventory.models import Material, Reason, StockEntry
from tests.factories import NOW, make_material

MILLION = 1_000_000
NUMBERS = {
    "sqlite": (
        "WITH RECURSIVE numbers(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM numbers WHERE n < %s)"
    ),
    "postgresql": "WITH numbers AS (SELECT generate_series(1, %s) AS n)",
}


def make_a_million_entries(material):
    """Entries of 0.001 to 0.999 in turn, written by one statement."""
    columns = "material_id, reason, quantity, cost, holder, line, note, happened_at, recorded_at"
    statement = (
        f"INSERT INTO inventory_stockentry ({columns}, to_reconcile) {NUMBERS[connection.vendor]}"
        if connection.vendor == "postgresql"
        else f"{NUMBERS['sqlite']} INSERT INTO inventory_stockentry ({columns}, to_reconcile)"
    )
    statement += (
        " SELECT CAST(%s AS bigint), %s, n %% 999 + 1, n %% 999 + 1, '', '', '', %s, %s, false"
        " FROM numbers"
    )
    values = [MILLION, material.pk, Reason.RECEIVED, NOW, NOW]
    with connection.cursor() as cursor:
        cursor.execute(statement, values)


@pytest.mark.django_db
def test_a_sum_over_a_million_entries_is_exact():
    make_a_million_entries(make_material())
    thousandths = sum(n % 999 + 1 for n in range(1, MILLION + 1))
    said = StockEntry.objects.aggregate(cost=Sum("cost"), quantity=Sum("quantity"))
    assert said == {
        "cost": Decimal(thousandths) / 1000,
        "quantity": Decimal(thousandths) / 1000,
    }
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("SELECT SUM(cost / 1000.0) FROM inventory_stockentry")
            assert Decimal(cursor.fetchone()[0]) != said["cost"], "binary floats drift"


@pytest.mark.django_db
def test_an_amount_comes_back_as_it_went_in():
    material = make_material()
    Material.objects.filter(pk=material.pk).update(book_cost=Decimal("12345678901.239"))
    material.refresh_from_db()
    assert material.book_cost == Decimal("12345678901.239")


@pytest.mark.django_db
def test_amounts_add_up_inside_the_database():
    material = make_material()
    more = F("book_cost") + money_value(Decimal("0.10"))
    for _ in range(3):
        Material.objects.filter(pk=material.pk).update(book_cost=more)
    material.refresh_from_db()
    assert material.book_cost == Decimal("0.30")


@pytest.mark.parametrize("field", [MoneyField(), QuantityField()], ids=["money", "quantity"])
def test_what_is_finer_than_the_smallest_unit_is_not_stored(field):
    with pytest.raises(ValueError, match="more than 3 decimal places"):
        field.get_prep_value(Decimal("0.0001"))


def test_words_are_not_a_number():
    with pytest.raises(ValidationError, match="is not a number"):
        QuantityField().to_python("a lot")
