"""The bench page's shell, service worker and manifest."""

import gzip
import json
import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.urls import reverse

from inventory.base.calc.units import UNITS_BY_KIND
from shop.devices.pages.bench import bench_files
from shop.models import Measure

pytestmark = pytest.mark.django_db
FOLDER = Path(finders.find("shop/bench"))
MODULES = sorted(FOLDER.glob("*.js"))


def local(path):
    return Path(finders.find(path.removeprefix("/static/")))


@pytest.mark.parametrize("address", ["/bench/", "/bench/pair/", "/bench/p/T-0412/"])
def test_the_shell_needs_no_login_and_says_nothing_of_the_shop(client, posy, address):
    page = client.get(address)
    assert page.status_code == 200
    assert posy.username not in page.content.decode()
    assert "Turnip" not in page.content.decode()


def test_the_shell_keeps_to_the_content_policy(client, workshop):
    page = client.get("/bench/").content.decode()
    assert "style=" not in page
    assert not re.search(r"<script(?![^>]*src=)", page)


def test_the_worker_keeps_every_file_that_the_page_uses(client, workshop):
    worker = client.get("/bench/sw.js")
    assert worker["Content-Type"].startswith("text/javascript")
    kept = json.loads(re.search(r"FILES = (\[.*?\]);", worker.content.decode())[1])
    page = client.get("/bench/").content.decode()
    used = re.findall(r'(?:src|href)="(/static/[^"]+)"', page)
    assert used
    assert set(used) <= set(kept)
    for path in kept[1:]:
        assert local(path).exists(), path


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.name)
def test_every_import_is_a_module_of_the_page(path):
    names = re.findall(r'from "\./([\w.]+)"', path.read_text())
    assert {name for name in names if not (FOLDER / name).exists()} == set()


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.name)
def test_a_module_stays_short(path):
    assert len(path.read_text().splitlines()) < 300


def test_the_version_changes_with_any_file():
    assert re.fullmatch(r"[0-9a-f]{12}", bench_files().version)


def test_the_whole_page_is_under_100_kb_as_it_is_sent(client, workshop):
    whole = [
        client.get("/bench/").content,
        *(local(one).read_bytes() for one in bench_files().paths),
    ]
    sent = sum(len(gzip.compress(each, 6)) for each in whole)
    assert sent < 100_000, f"{sent} bytes, {sum(map(len, whole))} before compression"


def test_the_manifest_lets_a_phone_install_the_page(client, workshop):
    manifest = json.loads(client.get(reverse("bench_manifest")).content)
    assert (manifest["start_url"], manifest["scope"], manifest["display"]) == (
        "/bench/",
        "/bench/",
        "standalone",
    )
    assert {icon["sizes"] for icon in manifest["icons"]} == {"192x192", "512x512"}
    assert all(local(icon["src"]).exists() for icon in manifest["icons"])


def test_units_are_the_same_on_phone_and_computer():
    text = (FOLDER / "units.js").read_text()
    found = {
        code: (float(factor), word)
        for code, factor, word in re.findall(r'(\w+): \[([\d.]+), "([^"]*)"\]', text)
    }
    own = {one.code: one for units in UNITS_BY_KIND.values() for one in units}
    assert set(found) == set(own)
    for code, (factor, word) in found.items():
        assert factor == float(own[code].factor), code
        assert word in {own[code].word, ""}, code


def test_measures_are_the_same_on_phone_and_computer():
    text = (FOLDER / "setup.js").read_text()
    assert dict(re.findall(r'\["(\w+)", "([^"]+)"\]', text)) == dict(Measure.choices)
