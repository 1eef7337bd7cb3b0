"""Whole tasks at the desk by keyboard alone, in few presses; a field typed into counts as one."""

import re
from decimal import Decimal

import pytest
from django.utils import timezone

from inventory.counting.services import count_stock
from inventory.ledger.services.incoming import PieceFacts
from inventory.models import KeptAs, Lot
from quotes.models import Invoice, Payment, Quote
from shop.builds.queries.needs import needs_of
from shop.models import Build
from shop.patterns.services.templates import load_starters
from tests.browser.desk.test_stock import deliver
from tests.factories import make_material
from tests.quotes.factories import make_client, make_machine_heads, make_policy
from tests.shop.factories import make_build, planned_line, planned_stage

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
HERE = """() => {
  const one = document.activeElement;
  return [one.name, one.ariaLabel, one.labels?.[0]?.textContent, one.textContent]
    .filter(Boolean).map((words) => words.trim().replace(/\\s+/g, " "));
}"""
MOST_TABS = 60
MOST = {
    "delivery": 22,
    "quote to issue": 19,
    "accept": 16,
    "invoice": 20,
    "payment": 19,
    "draw": 29,
    "cut": 27,
}
"""Half of what each took before pages had keys for their main act and first field."""


@pytest.fixture
def viewport():
    return "desk"


class Keyboard:
    """Hands that never leave the keys, and a count of what they press."""

    def __init__(self, page):
        self.page, self.presses = page, 0

    def press(self, key):
        self.page.keyboard.press(key)
        self.presses += 1

    def type(self, text):
        self.page.keyboard.type(text)
        self.presses += 1

    def is_at(self, words):
        return any(re.match(words, each) for each in self.page.evaluate(HERE))

    def tab_to(self, words, key="Tab"):
        for _ in range(MOST_TABS):
            if self.is_at(words):
                return
            self.press(key)
        raise AssertionError(f"“{words}” is not within {MOST_TABS} tabs")

    def leads_on(self, key):
        """Press a key that opens another page."""
        with self.page.expect_navigation(wait_until="networkidle"):
            self.press(key)


@pytest.fixture
def keys(at_desk):
    at_desk.set_default_timeout(30000)
    at_desk.set_default_navigation_timeout(30000)
    return Keyboard(at_desk)


def fill(keys, said):
    for words, text in said.items():
        keys.tab_to(words)
        keys.type(text)


def receive(keys):
    keys.leads_on("7")
    keys.leads_on("n")
    fill(keys, {"Material": "machine heads, 4+4", "Quantity": "4", "Line total": "260"})
    keys.leads_on("Control+Enter")


def draft_and_issue(keys):
    keys.leads_on("n")
    fill(keys, {"New client": "Osric Pondweed", "Template": "Solid electric bouzouki"})
    keys.leads_on("Control+Enter")
    keys.leads_on("m")
    keys.leads_on("m")


def accept(keys):
    keys.leads_on("m")
    keys.leads_on("Control+Enter")


def invoice_the_deposit(keys):
    keys.leads_on("m")
    keys.press("l")
    keys.tab_to("Invoice")
    keys.leads_on("Enter")
    keys.leads_on("Control+Enter")


def record_the_payment(keys):
    keys.tab_to("Record a payment", "Shift+Tab")  # the notice has the focus, the acts come before
    keys.leads_on("Enter")
    fill(keys, {"Amount": "1130.40"})
    keys.leads_on("Control+Enter")


def draw_fretwire(keys):
    keys.leads_on("4")
    keys.press("l")
    keys.leads_on("Enter")
    keys.press("t")
    keys.tab_to("Material$")
    keys.leads_on("Enter")
    keys.press("l")
    keys.tab_to("Draw Fretwire")
    keys.leads_on("Enter")
    keys.leads_on("Control+Enter")


def cut_a_board(keys):
    keys.press("/")
    keys.type("T-0001")
    keys.leads_on("Enter")
    keys.press("a")
    keys.tab_to("Cut$")
    keys.leads_on("Enter")
    fill(keys, {"Becomes": "Neck blank, maple", "Length": "620", "Width": "80", "Quantity": "6"})
    keys.leads_on("Control+Enter")
    keys.leads_on("Control+Enter")


def counted(keys, task, start=None):
    if start:
        keys.page.goto(start)
    keys.presses = 0
    task(keys)
    return keys.presses


def test_a_commission_is_taken_from_quote_to_payment_in_few_presses(keys):
    make_machine_heads()
    make_policy()
    load_starters()
    presses = {
        "delivery": counted(keys, receive, "/"),
        "quote to issue": counted(keys, draft_and_issue, "/"),
        "accept": counted(keys, accept),
    }
    quote = Quote.objects.get()
    presses["invoice"] = counted(keys, invoice_the_deposit, f"/quotes/{quote.pk}/")
    presses["payment"] = counted(keys, record_the_payment)
    assert Lot.objects.count() == 1
    assert (Lot.objects.get().remaining, Build.objects.count()) == (4, 1)
    assert (Invoice.objects.count(), Payment.objects.count()) == (1, 1)
    too_many = {name: count for name, count in presses.items() if count > MOST[name]}
    assert too_many == {}


def test_stock_is_drawn_for_a_build_in_few_presses(keys, workshop):
    wire = make_material("Fretwire, medium", KeptAs.LENGTH, unit="m")
    count_stock(material=wire, counted=Decimal(5000), now=timezone.now())
    build = make_build("A", stages=[planned_stage("Fret")], lines=[planned_line(wire, "1050")])
    assert counted(keys, draw_fretwire, "/") <= MOST["draw"]
    assert needs_of([build])[0].used == 1050


def test_a_board_is_cut_in_few_presses(keys, workshop):
    make_material("Neck blank, maple", KeptAs.PIECE)
    board = make_material("Maple board, 52 mm", KeptAs.PIECE)
    sizes = {"length_mm": Decimal(2400), "width_mm": Decimal(190), "thickness_mm": Decimal(52)}
    size = PieceFacts(**sizes, is_ready=True)
    deliver(board, 1, "90.11", pieces=[size])
    assert counted(keys, cut_a_board, "/") <= MOST["cut"]
    assert Lot.objects.filter(material__name="Neck blank, maple").count() == 6


def test_rows_are_walked_by_arrows_and_a_field_is_left_by_escape(keys):
    for name in ("Anselm Thistle", "Osric Pondweed"):
        make_client(name)
    keys.page.goto("/clients/")
    keys.press("l")
    assert keys.is_at("Anselm")
    keys.press("ArrowDown")
    assert keys.is_at("Osric")
    keys.press("ArrowUp")
    assert keys.is_at("Anselm")
    keys.leads_on("n")
    assert keys.is_at("Name")
    keys.press("Escape")
    assert not keys.is_at("Name")
