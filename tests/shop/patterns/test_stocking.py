import pytest
from django.urls import reverse

from inventory.models import Material
from shop.patterns.services.templates import load_starters

pytestmark = pytest.mark.django_db


@pytest.fixture
def starter(workshop):
    return load_starters()[0]


def test_the_page_shows_what_is_made_and_what_is_left(desk, starter):
    page = desk.get(reverse("template_stock", args=[starter.pk])).content.decode()
    assert page.count("new material") == 24
    assert page.count("A share of a pack") == 3
    assert Material.objects.count() == 0


def test_stocking_is_one_act_and_can_be_undone(desk, starter):
    answer = desk.post(reverse("template_stock", args=[starter.pk]), follow=True)
    assert Material.objects.count() == 24
    notice = next(iter(answer.context["messages"]))
    assert str(notice).startswith("24 materials created. Their prices are not checked yet.")
    desk.post(notice.extra_tags)
    assert Material.objects.count() == 0


def test_what_is_in_use_is_not_undone_and_the_page_says_so(desk, starter):
    answer = desk.post(reverse("template_stock", args=[starter.pk]), follow=True)
    undo = next(iter(answer.context["messages"])).extra_tags
    load_starters_line = starter.lines.exclude(material=None).first()
    load_starters_line.pk = None
    load_starters_line.save()
    answer = desk.post(undo, follow=True)
    assert "is already in use" in answer.content.decode()
    assert Material.objects.count() == 24


def test_a_starter_is_marked_as_ones_own(desk, starter):
    page = reverse("template", args=[starter.pk])
    assert "Starter figures from common practice" in desk.get(page).content.decode()
    desk.post(reverse("template_own", args=[starter.pk]))
    assert "Starter figures from common practice" not in desk.get(page).content.decode()


def test_a_looker_on_stocks_nothing(client, looker_on, starter):
    client.force_login(looker_on)
    assert client.post(reverse("template_stock", args=[starter.pk])).status_code == 403
