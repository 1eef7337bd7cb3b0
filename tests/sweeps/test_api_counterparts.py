"""What a page can do the API can do too, but for a short list that says why."""

from functools import cache

from drf_spectacular.generators import SchemaGenerator

from inventory.base.api.finishing import operations_of
from tests.sweeps.addresses import addresses
from tests.sweeps.counterparts import COUNTERPARTS, PAGES_ALONE
from tests.test_architecture import imports_of, in_rooms

ALONE = {name for names in PAGES_ALONE for name in names.split()}
OUTSIDE = {"api_guide"}
"""Stands among the addresses of the API."""


@cache
def operations():
    described = SchemaGenerator().get_schema(public=True)
    return {one["operationId"] for one in operations_of(described)}


def pages():
    return {one.name for one in addresses() if not one.is_api} - OUTSIDE


def test_every_page_has_a_counterpart_or_a_stated_reason():
    assert pages() - {*COUNTERPARTS} - ALONE == set()


def test_every_counterpart_is_an_operation():
    named = {one for words in COUNTERPARTS.values() for one in words.split()}
    assert named - operations() == set()


def test_no_page_that_is_gone_stands_in_the_lists():
    assert ({*COUNTERPARTS} | ALONE) - pages() == set()
    assert {*COUNTERPARTS} & ALONE == set()


SERVICES_ALONE = {
    # A browser's way in, and a token that is shown there once.
    "take_code", "turn_on_second_factor", "renew_recovery_codes", "open_workshop", "add_device",
    # What a client does by a link, and what happens by itself.
    "accept_by_link", "answer_change", "decline_by_link", "record_link_read", "expire_quotes",
    "update_search", "refresh_queue",
    # Set once at the desk.
    "load_species", "make_calendar_link", "revoke_calendar_link",
    # One page's several acts, each an operation: rows added anew, a hold, readings one by one,
    # a mail's wording before it is made, a delivery's sums before it is booked; and one act on
    # several rows, one by one.
    "draw_stage", "edit_materials", "restore_row", "choose_piece", "record_set_up",
    "make_draft_mail", "land_lines", "lines_in_home_money",
}  # fmt: skip


def services_of(layer):
    """Return the names of services that modules of a layer import."""
    return {
        name
        for path in in_rooms()
        if layer in {path.stem, *path.parts}
        for imported in imports_of(path)
        if ".services" in (module := imported.rpartition(".")[0])
        and module in imports_of(path)
        and (name := imported.rpartition(".")[2])[0].islower()
    }


def test_what_pages_do_the_api_does():
    assert services_of("pages") - services_of("api") - SERVICES_ALONE == set()
    assert SERVICES_ALONE - services_of("pages") == set()
