import pytest
from django.urls import reverse
from knox.models import AuthToken

from quotes.desk.queries import first_steps
from shop.models import Build, BuildState, Device
from shop.patterns.services.templates import load_starters
from tests.factories import make_material
from tests.quotes.factories import make_client, make_policy, make_quote
from tests.shop.factories import make_build, make_template

pytestmark = pytest.mark.django_db
SET = ["policy", "material", "template", "quote", "phone"]


@pytest.fixture
def starters(workshop):
    return load_starters()


def take(step, posy):
    match step:
        case "policy":
            make_policy()
        case "material":
            make_material()
        case "template":
            make_template()
        case "quote":
            make_quote()
        case "phone":
            Device.objects.create(token=AuthToken.objects.create(posy)[0], name="bench phone")


def test_a_new_workshop_has_five_steps_before_it(starters):
    assert [step.is_done for step in first_steps()] == [False] * 5


@pytest.mark.parametrize("number", range(5), ids=SET)
def test_a_step_is_done_once_the_books_show_it(starters, posy, number):
    take(SET[number], posy)
    assert first_steps()[number].is_done


def test_the_steps_are_gone_when_all_are_done(starters, posy):
    for step in SET[1:]:
        take(step, posy)
    assert first_steps() == []


def test_a_workshop_that_finished_a_build_is_no_beginner(starters):
    make_build()
    assert first_steps()
    Build.objects.update(state=BuildState.FINISHED)
    assert first_steps() == []


def test_a_quote_begins_with_its_client(starters):
    page = {step.words: step.page for step in first_steps()}["Quote a commission"]
    make_client()
    then = {step.words: step.page for step in first_steps()}["Quote a commission"]
    assert (page, then) == ("client_new", "quote_new")


def test_every_step_leads_to_a_page(desk, starters):
    page = desk.get(reverse("today_steps")).content.decode()
    for step in first_steps():
        address = reverse(step.page, args=[step.key] if step.key else [])
        assert f'href="{address}"' in page
        assert desk.get(address).status_code == 200


def test_without_a_pattern_the_first_material_is_written_down(workshop):
    assert {step.page for step in first_steps()} >= {"new_material"}


def test_the_first_that_is_not_done_is_now(desk, starters):
    make_policy()
    page = desk.get(reverse("today_steps")).content.decode()
    assert page.count('aria-current="step"') == 1
    assert page.index("done") < page.index('aria-current="step"') < page.index("Stock your mat")


def test_a_looker_on_is_asked_for_nothing(client, looker_on, starters):
    client.force_login(looker_on)
    assert client.get(reverse("today_steps")).content.decode().strip() == ""


def test_the_steps_take_a_fixed_number_of_queries(starters, django_assert_num_queries):
    for _ in range(3):
        make_material()
    with django_assert_num_queries(8):
        first_steps()


def test_today_asks_for_both_by_address(desk, starters):
    page = desk.get(reverse("today")).content.decode()
    assert f'hx-get="{reverse("today_steps")}"' in page
    assert f'hx-get="{reverse("today_books")}"' in page
