"""Books that were kept by an earlier version stay as they were."""

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

BEFORE = ("inventory", "0011_which_piece_first")
AFTER = ("inventory", "0014_piece_state_worked_out")


def migrated(*targets):
    """Bring the database to `targets` and return the models as they were then."""
    executor = MigrationExecutor(connection)
    executor.migrate(list(targets))
    return MigrationExecutor(connection).loader.project_state(list(targets)).apps


@pytest.fixture
def earlier_books(transactional_db, request):
    yield migrated(getattr(request, "param", BEFORE))
    executor = MigrationExecutor(connection)
    executor.migrate(executor.loader.graph.leaf_nodes())


@pytest.mark.slow
def test_a_piece_keeps_its_state_when_the_state_comes_to_be_worked_out(earlier_books):
    kept = {"seasoning": 1, "ready": 1, "downgraded": 1, "drawn": 0, "rejected": 0, "returned": 0}
    family = earlier_books.get_model("inventory", "Family").objects.create(name="Spruce")
    material = earlier_books.get_model("inventory", "Material").objects.create(
        name="Spruce top", family=family, kept_as="piece", cost_method="actual"
    )
    for number, (state, remaining) in enumerate(kept.items(), start=1):
        lot = earlier_books.get_model("inventory", "Lot").objects.create(
            material=material,
            number=f"T-{number:04}",
            remaining=remaining,
            received_on="2027-03-09",
        )
        earlier_books.get_model("inventory", "Piece").objects.create(lot=lot, state=state)

    pieces = migrated(AFTER).get_model("inventory", "Piece").objects.order_by("lot__number")

    assert [piece.state for piece in pieces] == list(kept)


@pytest.mark.slow
@pytest.mark.parametrize(
    "earlier_books", [("inventory", "0029_delivery_of_a_price")], indirect=True
)
def test_a_price_that_was_paid_is_led_back_to_its_delivery(earlier_books):
    model = earlier_books.get_model
    family = model("inventory", "Family").objects.create(name="Hardware")
    nuts = model("inventory", "Material").objects.create(name="nuts", family=family)
    lines = []
    for day in ("2027-03-09", "2027-03-09", "2027-04-01"):
        delivery = model("inventory", "Delivery").objects.create(received_on=day)
        lines.append(
            model("inventory", "DeliveryLine").objects.create(
                delivery=delivery, material=nuts, quantity=1, price=5, landed_cost=5
            )
        )
    for day, kind in (
        ("2027-03-09", "paid"),
        ("2027-03-09", "paid"),
        ("2027-04-01", "replacement"),
    ):
        model("inventory", "PriceNote").objects.create(
            material=nuts, noted_on=day, kind=kind, price=5
        )

    notes = migrated(("inventory", "0030_find_deliveries_of_prices")).get_model(
        "inventory", "PriceNote"
    )

    found = notes.objects.order_by("pk").values_list("delivery_line", flat=True)
    assert list(found) == [lines[0].pk, lines[1].pk, None]


@pytest.mark.slow
@pytest.mark.parametrize(
    "earlier_books", [("inventory", "0037_entries_about_others")], indirect=True
)
def test_a_reserved_piece_that_was_rejected_is_no_longer_counted_as_reserved_too(earlier_books):
    model = earlier_books.get_model
    family = model("inventory", "Family").objects.create(name="Maple")
    material = model("inventory", "Material").objects.create(
        name="Rib pair", family=family, kept_as="piece", cost_method="actual", promised=3
    )
    for number, (verdict, remaining) in enumerate((("", 1), ("rejected", 1), ("", 0)), start=1):
        lot = model("inventory", "Lot").objects.create(
            material=material, number=f"T-{number}", remaining=remaining, received_on="2027-03-09"
        )
        model("inventory", "Piece").objects.create(
            lot=lot, verdict=verdict, is_ready=True, gone="" if remaining else "drawn"
        )
        model("inventory", "Promise").objects.create(
            material=material,
            lot=lot,
            holder="build:1",
            quantity=1,
            outstanding=1,
            made_at="2027-03-09T09:00Z",
        )

    materials = migrated(("inventory", "0038_promises_that_hold")).get_model(
        "inventory", "Material"
    )

    assert materials.objects.get().promised == 1
