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
def earlier_books(transactional_db):
    yield migrated(BEFORE)
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
