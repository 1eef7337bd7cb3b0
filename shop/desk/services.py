"""Open a workshop: what the first run sets up, from the owner to the starter templates."""

from zoneinfo import ZoneInfo, available_timezones

from django.contrib.auth.models import Group, User
from django.db import transaction

from inventory.base.calc.money import is_currency
from inventory.base.calc.official_numbers import check_tax_number
from inventory.base.refusals import Refusal
from inventory.base.roles import OWNER, ROLES
from inventory.models import Workshop
from inventory.wood.services import load_species
from shop.access.services.people import check_password_of
from shop.models import WorkingWeek
from shop.patterns.services.templates import load_starters


@transaction.atomic
def open_workshop(
    *,
    name: str,
    maker: str,
    username: str,
    password: str,
    currency: str = "EUR",
    units: str = Workshop.METRIC,
    tax_registered: bool = False,
    tax_number: str = "",
    country: str = "",
    time_zone: str = "UTC",
    address: str = "",
    is_demo: bool = False,
) -> Workshop:
    """Return the workshop with its roles, owner, working week, families, species and starter
    templates.

    Raises Refusal when there is a workshop already, or the currency, the time zone, the tax number
    or the password won't do; the sentence says what would.
    """
    if Workshop.objects.exists():
        raise Refusal("This workshop is already set up. Sign in instead.")
    _check(currency, time_zone)
    first_name = maker.split(maxsplit=1)[0]
    check_password_of(person=User(username=username, first_name=first_name), password=password)
    if tax_number:
        check_tax_number(tax_number, country)
    workshop = Workshop.objects.create(
        pk=1,
        name=name,
        maker=maker,
        currency=currency,
        units=units,
        tax_registered=tax_registered,
        tax_number=tax_number,
        country=country,
        time_zone=ZoneInfo(time_zone).key,
        address=address,
        is_demo=is_demo,
    )
    WorkingWeek.objects.get_or_create(pk=1)
    groups = {role: Group.objects.get_or_create(name=role)[0] for role in ROLES}
    owner = User.objects.create_user(username, password=password, first_name=first_name)
    owner.groups.add(groups[OWNER])
    load_species()
    load_starters()
    return workshop


def _check(currency: str, time_zone: str) -> None:
    if not is_currency(currency):
        raise Refusal(
            f"“{currency}” is not an ISO 4217 currency code. Enter three letters, such as EUR.",
            field="currency",
        )
    if time_zone not in available_timezones():
        raise Refusal(
            f"“{time_zone}” is not a time zone. Enter one such as Europe/Amsterdam.",
            field="time_zone",
        )
