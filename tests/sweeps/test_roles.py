"""Who may ask and who may change, at every address there is."""

import pytest
from django.urls import resolve

from inventory.base.roles import BOOKKEEPER, LOOKER_ON, MAKER, OWNER, ROLES
from tests.conftest import make_person
from tests.sweeps.addresses import addresses

PAGES = [one for one in addresses() if not one.is_api]
API = [one for one in addresses() if one.is_api]
STRANGERS = {
    *("login", "sign_in_code", "logout", "first_run", "face"),
    *("bench", "bench_pair", "bench_piece", "bench_worker", "bench_manifest"),
    "queue_calendar",
    *("offer", "offer_paper", "offer_signed", "offer_accept", "offer_decline"),
    *("offer_picture", "offer_photo"),
    *("offer_change", "offer_change_paper", "offer_change_signed"),
    *("offer_change_agree", "offer_change_decline"),
    *("offer_nowhere", "offer_without_secret"),
}
"""Pages without a name at the door: signing in, the client's and the calendar by their secrets,
and the phone's shell, which holds no data of its own."""
MY_OWN = {
    *("logout", "devices", "device_revoke", "my_units"),
    *("my_access", "my_password", "my_sessions_end", "confirm"),
    *("my_second_factor", "my_second_factor_off", "my_recovery_codes"),
}
"""What everybody does for themselves."""
BOOKS = {
    *("payment_new", "payment_correct", "invoice_part", "invoice_change", "invoice_credit"),
    *(
        "new_delivery",
        "take_back_delivery",
        "check_price",
        "price_table",
        "new_paper",
        "settle_credit",
    ),
    *("new_bill", "correct_bill", "void_bill", "pay_bill", "cover_deliveries"),
    *("edit_paper", "remove_paper", "send", "mail_sent", "work_done"),
}
"""Pages at which a bookkeeper writes."""
BOOKS_API = (
    "api/v1/invoices/",
    "api/v1/payments/",
    "api/v1/mails/",
    "api/v1/quotes/<int:pk>/work-done/",
    "api/v1/deliveries/",
    "api/v1/bills/",
    "api/v1/suppliers/",
    "api/v1/credits/",
    "api/v1/price-breaks/",
    "api/v1/lots/<str:number>/papers/",
    "api/v1/papers/",
    "api/v1/materials/<int:pk>/prices/",
    "api/v1/prices/",
)
OWNERS_API = (
    "api/v1/estimate-settings/",
    "api/v1/pricing-policy/",
    "api/v1/tax-rates/",
    "api/v1/workshop/",
    "api/v1/working-week/",
    "api/v1/days-off/",
    "api/v1/people/",
    "api/v1/paper-look/",
)
OWNERS_TO_READ = {
    *("api_everything", "everything", "access_log", "people", "person_add", "person_role"),
    *("person_password", "person_end", "person_admit", "person_factor_off"),
    *("api_people-list", "api_people-detail", "api_access_log-list", "api_access_log-detail"),
    *("api_people-role", "api_people-password", "api_people-end", "api_people-admit"),
    "api_people-second-factor-off",
}
PROBLEM = "application/problem+json"
MY_OWN_API = ("api/v1/devices/", "api/v1/my-access/")


def test_every_address_leads_to_its_own_view():
    for one in addresses():
        assert resolve(one.path()).func is one.view, one


def writers_of_page(one):
    """Return the roles that may send a form to a page."""
    if one.name in STRANGERS | MY_OWN:
        return set(ROLES)
    if "suppliers)" in one.route:
        return {OWNER, MAKER, BOOKKEEPER}
    if one.route.startswith("workshop/"):
        return {OWNER}
    return {OWNER, MAKER, BOOKKEEPER} if one.name in BOOKS else {OWNER, MAKER}


def writers_of_api(one):
    route = one.route.replace("^", "")
    if route.startswith(MY_OWN_API):
        return set(ROLES)
    if route.startswith(OWNERS_API):
        return {OWNER}
    return {OWNER, MAKER, BOOKKEEPER} if route.startswith(BOOKS_API) else {OWNER, MAKER}


def test_a_stranger_is_sent_to_sign_in(client, workshop):
    for one in PAGES:
        if one.name in STRANGERS:
            continue
        for ask in (client.get, client.post):
            answer = ask(one.path())
            assert answer.status_code == 302, one
            assert answer["Location"].startswith("/login/"), one


def test_a_stranger_gets_nothing_from_the_api(client, workshop):
    for one in API:
        if one.name not in {
            "api_pair",
            "api_schema",
            "api_guide",
        }:  # the description holds nothing secret
            answer = client.get(one.path())
            assert (answer.status_code, answer["Content-Type"]) == (401, PROBLEM), one


@pytest.mark.parametrize("role", ROLES)
def test_pages_are_changed_only_by_whom_they_are_for(client, workshop, role):
    client.force_login(make_person("gertie", role))
    client.raise_request_exception = False
    wrong = []
    for one in PAGES:
        if one.name in {"logout", "first_run", *STRANGERS}:
            continue
        refused = client.post(one.path()).status_code == 403
        if refused == (role in writers_of_page(one)):
            wrong.append(one.name)
    assert wrong == []


@pytest.mark.parametrize("role", ROLES)
def test_the_api_is_changed_only_by_whom_it_is_for(client, workshop, role):
    client.force_login(make_person("gertie", role))
    wrong = []
    for one in API:
        for method in ("post", "put", "patch", "delete"):
            answer = getattr(client, method)(one.path(), {}, content_type="application/json")
            if answer.status_code != 405 and (answer.status_code == 403) == (
                role in writers_of_api(one)
            ):
                wrong.append(f"{method} {one.route}")
    assert wrong == []


def test_who_looks_on_may_read_every_page_but_change_nothing(client, looker_on):
    client.force_login(looker_on)
    assert LOOKER_ON not in {
        role for one in PAGES if one.name not in STRANGERS | MY_OWN for role in writers_of_page(one)
    }
    refused = {one.name for one in addresses() if client.get(one.path()).status_code == 403}
    assert refused == OWNERS_TO_READ
