"""A maker's first commission, by hand in a browser: from an empty shop to the close-out."""

import re

import pytest

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

WAIT = {"wait_until": "load"}
PAGES = [
    "/",
    "/quotes/",
    "/quotes/new/",
    "/builds/",
    "/hours/",
    "/stock/",
    "/stock/m/new/",
    "/stock/deliveries/new/",
    "/templates/",
    "/books/",
    "/workshop/",
    "/workshop/pricing/",
]


def press(page, name, role="button"):
    """Press a button or link that leads to another page."""
    with page.expect_navigation(**WAIT):
        page.get_by_role(role, name=name, exact=True).first.click()


def fill(page, **fields):
    """Fill inputs by their label; underscores stand for spaces."""
    for label, value in fields.items():
        page.get_by_label(re.compile(f"^{label.replace('_', ' ')}")).first.fill(value)


def open_the_workshop(page):
    page.goto("/")
    fill(
        page,
        Workshop_name="Parsnip Lane",
        Maker="Tilda Bramble",
        User_name="tilda",
        Password="stringy-cheese-9",
    )
    press(page, "Save")
    fill(page, Shop_rate="45.00")
    press(page, "Save")


def add_material(page, name, kept_as):
    page.goto("/stock/m/new/")
    fill(page, Name=name)
    page.get_by_label("Family", exact=True).select_option(label="Tonewoods")
    page.get_by_label("Kept as").select_option(value=kept_as)
    press(page, "Save")


def receive(page, name, quantity, price, parts):
    page.goto("/stock/deliveries/new/")
    page.get_by_label("Material", exact=True).fill(name)
    page.get_by_label("Quantity", exact=True).fill(quantity)
    page.get_by_label("Line total").fill(price)
    page.get_by_text("Mass, expiry, pack size and piece details").click()
    page.get_by_label(re.compile("^Parts in the set")).fill(parts)
    press(page, "Save")


def draft_a_quote(page):
    page.goto("/quotes/new/")
    fill(page, New_client="Osric Pondweed")
    page.get_by_role("combobox", name=re.compile("^Template")).select_option(
        label="Carved-top mandolin"
    )
    press(page, "Create draft")
    page.wait_for_load_state("networkidle")  # parts that load later move what is below them
    page.get_by_role("link", name="Materials", exact=True).click()
    with page.expect_navigation(**WAIT):
        page.get_by_role("link", name=re.compile("^Top, spruce")).first.click()
    page.get_by_role("combobox", name=re.compile("^Material")).fill("Spruce top, mandolin")
    press(page, "Save")


def fetch_the_paper(page):
    address = page.get_by_role("link", name="PDF", exact=True).get_attribute("href")
    paper = page.request.get(address)
    assert paper.headers["content-type"] == "application/pdf"
    assert paper.body().startswith(b"%PDF")


def draw_the_top(page):
    with page.expect_navigation(**WAIT):
        page.get_by_role("link", name=re.compile("^Material$")).click()
    row = page.get_by_role("row", name=re.compile("^Top, spruce"))
    assert re.search(r"T-\d{4}", row.inner_text()), "a set is put aside by its number"
    with page.expect_navigation(**WAIT):
        row.get_by_role("link", name=re.compile("^Draw")).click()
    press(page, "Draw")
    assert "35.00" in page.get_by_role("row", name=re.compile("^Top, spruce")).inner_text()


def log_hours(page, line):
    page.goto("/hours/")
    fill(page, In_one_line=line)
    press(page, "Save")


def test_from_an_empty_shop_to_the_close_out(page):
    open_the_workshop(page)
    add_material(page, "Spruce top, mandolin", "piece")
    receive(page, "Spruce top, mandolin", "2", "70.00", parts="2")
    draft_a_quote(page)
    press(page, "Issue", role="link")
    page.locator("main .actions button.main").first.click()
    page.get_by_role("link", name="Record acceptance").wait_for()
    fetch_the_paper(page)
    press(page, "Record acceptance", role="link")
    press(page, "Record acceptance")
    build = page.get_by_role("link", name=re.compile(r"^\d{4}-01$")).get_attribute("href")
    page.goto("/stock/")
    shelf = page.get_by_role("row").filter(has_text="Spruce top")
    assert re.search(r"2\s+1\s+1\s+70.00", shelf.inner_text()), shelf.inner_text()

    page.goto(build)
    draw_the_top(page)
    log_hours(page, "today, 2.5 h, carve neck")
    page.goto(f"{build}close-out/")
    neck = page.get_by_role("row", name=re.compile("^Carve neck")).inner_text()
    assert re.search(r"3:00 h\s+2:30 h\s+−0:30 h", neck), neck


def tab_to(page, name):
    while page.evaluate("document.activeElement.name") != name:
        page.keyboard.press("Tab")


def test_the_keyboard_alone_opens_a_workshop_and_drafts_a_quote(page):
    page.goto("/")
    keys = page.keyboard
    said = {
        "name": "Parsnip Lane",
        "maker": "Tilda Bramble",
        "username": "tilda",
        "password": "stringy-cheese-9",
    }
    for name, text in said.items():
        tab_to(page, name)
        keys.type(text)
    with page.expect_navigation(**WAIT):
        keys.press("Enter")
    page.goto("/quotes/")
    with page.expect_navigation(**WAIT):
        keys.press("n")
    tab_to(page, "new_client")
    keys.type("Osric Pondweed")
    tab_to(page, "template")
    keys.type("Flat")
    tab_to(page, "title")
    with page.expect_navigation(**WAIT):
        keys.press("Enter")
    assert page.get_by_role("heading", level=1).inner_text() == "Flat-top guitar"
    assert "Osric Pondweed" in page.locator("main").inner_text()


def test_every_field_and_button_of_the_job_has_a_name(page):
    open_the_workshop(page)
    page.goto("/templates/")
    template = page.get_by_role("link", name="Carved-top mandolin").get_attribute("href")
    for address in [template, *PAGES]:
        page.goto(address)
        nameless = page.evaluate(
            """() => [...document.querySelectorAll("input, select, textarea, button, a[href]")]
                .filter(e => e.type !== "hidden" && e.checkVisibility())
                .filter(e => !(e.labels && e.labels.length) && !e.ariaLabel
                    && !e.getAttribute("aria-labelledby") && !e.innerText.trim())
                .map(e => e.outerHTML)"""
        )
        assert nameless == [], address
