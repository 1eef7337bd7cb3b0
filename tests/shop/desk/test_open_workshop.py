import pytest
from django.contrib.auth.models import Group, User

from inventory.base.refusals import Refusal
from inventory.base.roles import OWNER, ROLES, role_of
from inventory.models import Species, Workshop
from shop.desk.services import open_workshop
from shop.models import BuildTemplate, WorkingWeek

pytestmark = pytest.mark.django_db

GIVEN = {
    "name": "Turnip Hollow",
    "maker": "Posy Thimblewick",
    "username": "posy",
    "password": "a-gauge-and-a-line",
}


def test_everything_a_shop_needs_is_there():
    open_workshop(**GIVEN, currency="EUR", time_zone="Europe/Amsterdam")
    posy = User.objects.get()
    assert role_of(posy) == OWNER
    assert posy.check_password("a-gauge-and-a-line")
    assert set(Group.objects.values_list("name", flat=True)) == set(ROLES)
    assert WorkingWeek.objects.count() == 1
    assert BuildTemplate.objects.filter(is_starter=True).count() == 3
    assert Species.objects.filter(botanical_name="Picea sitchensis").exists()


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"currency": "TURNIPS"}, "“TURNIPS” is not an ISO 4217 currency code"),
        ({"time_zone": "Hollow/Turnip"}, "“Hollow/Turnip” is not a time zone"),
        ({"password": "short"}, "at least 12 characters"),
    ],
    ids=["currency", "time zone", "password"],
)
def test_what_will_not_do_is_told_and_nothing_is_written(changed, sentence):
    with pytest.raises(Refusal, match=sentence):
        open_workshop(**GIVEN | changed)
    assert not Workshop.objects.exists()
    assert not User.objects.exists()


def test_a_workshop_is_opened_once():
    open_workshop(**GIVEN)
    with pytest.raises(Refusal, match="already set up"):
        open_workshop(**GIVEN | {"username": "bram"})
