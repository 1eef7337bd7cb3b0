"""An answer that is kept is given back as it was, or not at all."""

import pytest
from django.core.cache import caches
from django.db import connection

pytestmark = pytest.mark.django_db
LONG = {"hours": "7.75" * 5000}


@pytest.fixture
def answers():
    caches["answers"].set("mandolin", LONG)
    return caches["answers"]


def alter(change):
    # Others may lie there too: no test takes back what another one that commits left in it.
    key = caches["answers"].make_key("mandolin")
    with connection.cursor() as cursor:
        cursor.execute("SELECT value FROM shop_answers WHERE cache_key = %s", [key])
        [value] = cursor.fetchone()
        told = [change(value), key]
        cursor.execute("UPDATE shop_answers SET value = %s WHERE cache_key = %s", told)


def test_an_answer_comes_back_as_it_was_kept(answers):
    assert answers.get("mandolin") == LONG
    assert answers.get("guitar") is None


@pytest.mark.parametrize("at", [1, 40, 400, 4001, 20_003])
@pytest.mark.parametrize("size", [1, 4, 4096])
def test_one_with_a_hole_in_it_is_not_there(answers, at, size):
    alter(lambda value: value[:at] + "\x01" * size + value[at + size :])
    assert answers.get("mandolin") is None
    answers.set("mandolin", LONG)
    assert answers.get("mandolin") == LONG


def test_one_with_other_figures_in_it_is_not_there(answers):
    alter(lambda value: value[:8000] + ("A" if value[8000] != "A" else "B") + value[8001:])
    assert answers.get("mandolin") is None
