"""The desk by keyboard alone: focus and caret stay, one act is one request, no key goes astray."""

import re
from decimal import Decimal

import pytest

from quotes.models import Client, QuoteStage
from tests.quotes.factories import make_machine_heads, make_quote

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
HERE = "document.activeElement.getAttribute('aria-label') || document.activeElement.textContent"


@pytest.fixture
def viewport():
    return "desk"


@pytest.fixture
def draft(at_desk):
    make_machine_heads()
    quote = make_quote()
    at_desk.goto(f"/quotes/{quote.pk}/#hours")
    at_desk.wait_for_selector("#risk-result", state="attached")
    return quote


@pytest.fixture
def posts(at_desk):
    heard = []
    at_desk.on("request", lambda request: request.method == "POST" and heard.append(request))
    return heard


def first_stages(quote):
    return list(quote.stages.order_by("pk")[:3])


def hours_of(stage):
    return QuoteStage.objects.get(pk=stage.pk).hours


def until(page, condition):
    for _ in range(400):
        if condition():
            return
        page.wait_for_timeout(50)
    raise AssertionError("it never came about")


def settled(page):
    page.wait_for_timeout(50)
    until(page, lambda: not page.locator(".htmx-request").count())
    page.wait_for_timeout(100)


def test_hours_are_typed_down_a_draft_and_the_focus_stays(at_desk, draft, posts):
    fields = at_desk.locator("input[id^=hours-]")
    fields.nth(0).select_text()
    at_desk.keyboard.type("11")
    for typed in ("1.25", "19", "3"):
        with at_desk.expect_response("**/rows/"):
            at_desk.keyboard.press("Tab")
        settled(at_desk)
        assert at_desk.evaluate("document.activeElement.tagName") == "BUTTON"  # Delete, in its row
        at_desk.keyboard.press("Tab")
        here = fields.evaluate_all("(all) => all.indexOf(document.activeElement)")
        if here < 0:  # a link beside the name comes first
            at_desk.keyboard.press("Tab")
        at_desk.keyboard.type(typed)
    at_desk.keyboard.press("Enter")
    settled(at_desk)
    until(at_desk, lambda: len(posts) == 4)
    typed = [row.hours for row in draft.stages.all()][:4]
    assert typed == [Decimal(11), Decimal("1.25"), Decimal(19), Decimal(3)]
    assert at_desk.url.endswith(f"/quotes/{draft.pk}/#hours")


def test_what_is_typed_while_an_answer_is_on_its_way_is_neither_lost_nor_sent_half(
    at_desk, draft, posts
):
    held = []
    at_desk.route("**/rows/", lambda route: route.continue_() if held else held.append(route))
    fields = at_desk.locator("input[id^=hours-]")
    fields.nth(0).select_text()
    at_desk.keyboard.type("11")
    fields.nth(1).select_text()
    at_desk.keyboard.type("1.2")
    until(at_desk, lambda: held)
    held[0].continue_()
    settled(at_desk)
    state = fields.nth(1).evaluate(
        "(one) => [one === document.activeElement, one.value, one.selectionStart]"
    )
    assert state == [True, "1.2", 3]
    at_desk.keyboard.type("5")
    with at_desk.expect_response("**/rows/"):
        at_desk.keyboard.press("Tab")
    settled(at_desk)
    first, second, _ = first_stages(draft)
    assert (hours_of(first), hours_of(second)) == (Decimal(11), Decimal("1.25"))
    assert len(posts) == 2


def test_a_second_change_before_the_first_answer_is_not_overwritten(at_desk, draft, posts):
    held = []
    at_desk.route("**/rows/", lambda route: route.continue_() if held else held.append(route))
    fields = at_desk.locator("input[id^=hours-]")
    for index, typed in enumerate(("11", "1.25", "19")):
        fields.nth(index).select_text()
        at_desk.keyboard.type(typed)
    at_desk.keyboard.press("Tab")
    until(at_desk, lambda: held)
    held[0].continue_()
    stages = first_stages(draft)
    wanted = [Decimal(11), Decimal("1.25"), Decimal(19)]
    until(at_desk, lambda: [hours_of(stage) for stage in stages] == wanted)
    settled(at_desk)
    assert [fields.nth(index).input_value() for index in range(3)] == ["11", "1.25", "19"]
    assert len(posts) == 2


def test_enter_in_a_field_of_a_draft_is_one_request(at_desk, draft, posts):
    field = at_desk.locator("input[id^=hours-]").first
    field.select_text()
    at_desk.keyboard.type("11")
    at_desk.keyboard.press("Enter")
    settled(at_desk)
    first = first_stages(draft)[0]
    until(at_desk, lambda: hours_of(first) == 11)
    at_desk.keyboard.press("Tab")
    settled(at_desk)
    assert len(posts) == 1


def test_a_refused_figure_stays_as_it_was_typed(at_desk, draft, posts):
    field = at_desk.locator("input[id^=hours-]").first
    field.select_text()
    at_desk.keyboard.type("elf")
    at_desk.keyboard.press("Enter")
    at_desk.get_by_text(re.compile("“elf” is not valid")).wait_for()
    assert field.input_value() == "elf"
    assert field.evaluate("(one) => one === document.activeElement")
    field.select_text()
    at_desk.keyboard.type("11")
    at_desk.keyboard.press("Enter")
    first = first_stages(draft)[0]
    until(at_desk, lambda: hours_of(first) == 11)


def test_a_row_deleted_right_after_typing_keeps_what_was_typed(at_desk, draft, posts):
    fields = at_desk.locator("input[id^=hours-]")
    first, second, _ = first_stages(draft)
    fields.nth(0).select_text()
    at_desk.keyboard.type("11")
    at_desk.get_by_role("button", name=f"Delete {second.name}", exact=True).click()
    at_desk.locator("[data-undo], .notice form button").first.wait_for()
    assert hours_of(first) == 11
    assert not QuoteStage.objects.filter(pk=second.pk).exists()
    at_desk.keyboard.press("Tab")
    assert at_desk.evaluate(HERE).strip() == "Undo"


LOSE = """() => {
  const place = document.createElement("div");
  place.id = "place";
  place.innerHTML = '<input id="gone">';
  document.getElementById("main").append(place);
  document.getElementById("gone").focus();
  const spec = { swapStyle: "innerHTML", swapDelay: 0, settleDelay: 0 };
  const xhr = { status: 200 };
  htmx.trigger(document.body, "htmx:beforeSwap", { xhr });
  htmx.swap("#place", "<p>nothing to type in</p>", spec);
}"""


def test_keys_meant_for_a_field_that_is_gone_are_no_shortcuts(at_desk):
    at_desk.goto("/stock/")
    at_desk.evaluate(LOSE)
    for key in "19n":
        at_desk.keyboard.press(key)
    at_desk.wait_for_timeout(300)
    assert at_desk.url.endswith("/stock/")
    at_desk.wait_for_timeout(1200)
    at_desk.keyboard.press("1")
    at_desk.wait_for_url(lambda url: not url.endswith("/stock/"))


def test_enter_twice_in_a_form_sends_it_once(at_desk, posts):
    at_desk.goto("/clients/new/")
    at_desk.get_by_label("Name", exact=True).fill("Osric Pondweed")
    at_desk.evaluate(
        """() => {
          const form = document.querySelector("main form[method=post]");
          const main = form.querySelector("button.main");
          main.click();
          main.click();
        }"""
    )
    at_desk.wait_for_load_state("networkidle")
    assert (len(posts), Client.objects.count()) == (1, 1)
