"""A `?` beside a word leads to its line of the vocabulary, and the settings stand in one list."""

import re
from pathlib import Path

import pytest
from django.conf import settings
from django.urls import reverse

pytestmark = pytest.mark.django_db
ASKED = re.compile(r'help="([\w-]+)"|parts/help\.html" with word="([\w-]+)"')


def words_asked_for():
    found = set()
    for app in ("inventory", "shop", "quotes"):
        for path in Path(settings.BASE_DIR, app).rglob("*"):
            if path.suffix == ".html" or path.name == "tables.py":
                found |= {one or other for one, other in ASKED.findall(path.read_text())}
    return found


def test_every_question_mark_leads_to_a_line_that_is_there(desk, workshop):
    text = desk.get(reverse("words")).content.decode()
    asked = words_asked_for()
    assert len(asked) > 6
    assert [word for word in sorted(asked) if f'<div id="{word}">' not in text] == []


def test_the_guide_of_the_first_week_leads_to_pages_that_open(desk, workshop):
    text = desk.get(reverse("first_week")).content.decode()
    links = re.findall(r'href="(/[^"#?]*)"', text.split('class="week"')[1].split("</ol>")[0])
    assert len(links) > 7
    assert [link for link in links if desk.get(link).status_code != 200] == []


def test_the_settings_stand_in_one_list(desk, workshop):
    text = desk.get(reverse("workshop")).content.decode().split('class="settings"')[1]
    links = re.findall(r'href="(/[^"#?]*)"', text.split("</ul>")[0])
    assert len(links) >= 17
    assert [link for link in links if desk.get(link).status_code != 200] == []
