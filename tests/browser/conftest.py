"""Chromium against a live server: a desk or a phone, with every console error kept."""

import os
import re
from pathlib import Path

import pytest
from django.db import connections

from tests.browser.shop_computer import ShopComputer

CHROMIUM = Path("/usr/bin/chromium")
FLAGS = [
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
VIEWPORTS = {"desk": {"width": 1280, "height": 900}, "phone": {"width": 390, "height": 844}}


@pytest.fixture(scope="session")
def chromium():
    if not CHROMIUM.exists():
        pytest.skip("Chromium is not installed: apt-get install chromium")
    from playwright.sync_api import sync_playwright

    # The driver runs an event loop in this thread, where Django would else refuse its database.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        yield browser
        browser.close()
        # While the loop runs, Django keeps a connection of its own for this thread: left open, it
        # would keep PostgreSQL from dropping the tests' database.
        connections.close_all()
    del os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"]


PATIENCE = 90_000
"""How long, in ms, a browser waits for what it is told to see: a busy machine may be that slow."""


@pytest.fixture(params=VIEWPORTS)
def viewport(request):
    return request.param


@pytest.fixture
def computer(chromium, transactional_db):
    """The shop's computer: it answers while the test lasts, and no longer."""
    computer = ShopComputer()
    yield computer
    computer.stop()


def is_complaint(said):
    """An answer that refuses what was typed is none, though Chromium prints it as one."""
    return said.type == "error" and not re.search(r"status of (409|422)", said.text)


@pytest.fixture
def page(chromium, viewport, computer):
    """A fresh browser at the computer's address. Any console error fails the test."""
    context = chromium.new_context(
        viewport=VIEWPORTS[viewport], has_touch=viewport == "phone", base_url=computer.url
    )
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    complaints = []
    page.on("console", lambda said: is_complaint(said) and complaints.append(said.text))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    yield page
    context.close()
    assert complaints == []
