"""Nonsense sent to every page that takes a form: answered in the shop's words, never a fault."""

import re
from datetime import date

from django.urls import reverse

from inventory.models import Lot
from shop.hours.services.entries import log_hours
from tests.factories import NOW
from tests.sweeps.addresses import addresses
from tests.sweeps.demo import DemoTestCase, read, undone
from tests.sweeps.wording import complaints, framework_sentences

NONSENSE = {
    "empty": "",
    "huge": "9" * 30,
    "negative": "-5",
    "words": "many",
    "NUL": "a\x00b",
    "emoji": "🎻",
    "over-long": "x" * 5000,
    "not a number": "NaN",
    "the first day": "0001-01-01",
}
NAME = re.compile(r'name="([\w-]+)"')
LEFT_ALONE = {"csrfmiddlewaretoken", "viewport", "theme"}


class BadInput(DemoTestCase):
    def setUp(self):
        self.client.force_login(self.people["owner"])
        self.client.raise_request_exception = False

    def test_every_page_answers_nonsense_in_the_shops_words(self):
        number = Lot.objects.values_list("number", flat=True)[0]
        broken, borrowed, twice = [], [], set()
        for one in addresses():
            if one.is_api or one.name == "logout":
                continue
            path = one.path(pk=3, number=number)
            names = self.fields_of(path, broken)
            for kind, value in sayings(names).items():
                with undone():
                    answer = read(self.client.post(path, filled(names, value)))
                if answer.status_code >= 500:
                    broken.append(f"{kind} at {path}")
                borrowed += framework_sentences(page_of(answer))
                if says_it_twice(page_of(answer)):
                    twice.add(path)
        assert broken == []
        assert borrowed == []
        assert twice == set()

    def fields_of(self, path, broken):
        answer = read(self.client.get(path))
        if answer.status_code >= 500:
            broken.append(f"GET {path}")
        return set(NAME.findall(page_of(answer))) - LEFT_ALONE


def test_a_row_that_no_database_holds_is_answered(desk, posy):
    entry = log_hours(
        person=posy,
        day=date(2027, 3, 15),
        minutes=60,
        now=NOW,
        is_billable=False,
        reason="clean-up",
    )
    answer = desk.post(
        reverse("hours_entry", args=[entry.pk]), {"day": "2027-03-16", "builds": "9" * 30}
    )
    # SQLite can't be asked for such a row; PostgreSQL says that there is none.
    assert answer.status_code in {400, 422}


def sayings(names):
    """Return what is said in a form; where there is no field to say it in, it is sent once."""
    return NONSENSE if names else {"nothing": ""}


def says_it_twice(html):
    """Say whether the first box of complaints stands on the page once more."""
    boxes = [words for words in complaints(html) if words.startswith("Not saved")]
    return len(boxes) != len(set(boxes))


def page_of(answer):
    """Return the HTML of an answer; nothing for a paper, a picture or a file."""
    is_page = answer.get("Content-Type", "").startswith("text/html")
    return answer.content.decode() if is_page else ""


def filled(names, value):
    """Return a form in which every field says `value`, as one row where there are rows."""
    data = {name: value for name in names if not name.endswith("_FORMS")}
    rows = {name: "1" for name in names if name.endswith("TOTAL_FORMS")}
    return data | rows | {name: "0" for name in names if name.endswith("INITIAL_FORMS")}
