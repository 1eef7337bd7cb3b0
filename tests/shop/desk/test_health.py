"""Whoever watches over the process learns whether it answers and can work, and nothing else."""

import pytest
from django.db import DatabaseError, connection
from django.db.migrations.recorder import MigrationRecorder

from shop.desk.middleware import HealthMiddleware


@pytest.fixture(autouse=True)
def not_asked_yet(monkeypatch):
    monkeypatch.setattr(HealthMiddleware, "is_up_to_date", False)


def test_a_process_that_answers_is_healthy_without_a_database(client):
    answer = client.get("/health/", headers={"host": "10.0.0.7"})
    assert (answer.status_code, answer.content) == (200, b"healthy\n")


@pytest.mark.django_db
def test_one_whose_tables_are_up_to_date_is_ready(client, django_assert_num_queries):
    assert client.get("/ready/").status_code == 200
    with django_assert_num_queries(1):
        assert client.get("/ready/").status_code == 200


@pytest.mark.django_db
def test_one_before_an_update_is_not_ready(client):
    MigrationRecorder(connection).record_unapplied("shop", "0001_first_rows")
    assert client.get("/ready/").status_code == 503


@pytest.mark.django_db
def test_one_whose_database_is_away_is_not_ready(client, monkeypatch):
    def away():
        raise DatabaseError("the connection failed")

    monkeypatch.setattr(connection, "cursor", away)
    assert client.get("/ready/").status_code == 503
