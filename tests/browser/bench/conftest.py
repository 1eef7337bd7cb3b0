"""A shop's computer, its people, its builds, and phones paired with it."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from django.core.cache import cache
from django.utils import timezone

from inventory.ledger.services.incoming import NewLine, PieceFacts
from inventory.models import KeptAs, Place
from inventory.purchasing.services.deliveries import receive_delivery
from shop.builds.services.stock import reserve_for_build
from shop.models import Batch, Build
from tests.browser.bench.phone import Phone
from tests.factories import make_material
from tests.shop.factories import make_build, planned_line, planned_stage

STAGES = (
    "Bend ribs, blocks, linings",
    "Carve and graduate top",
    "Fret and dress",
    "Level and buff",
)
EARLIER = datetime(2026, 1, 5, 9, 0, tzinfo=UTC)


@pytest.fixture
def shop(computer, workshop, monkeypatch, settings):
    # A phone paired on the real day is used on the test's own, which may be months on.
    settings.REST_KNOX = {**settings.REST_KNOX, "TOKEN_TTL": timedelta(days=3650)}
    cache.clear()
    monkeypatch.setattr(timezone, "now", computer.now)
    return computer


@pytest.fixture
def stock(shop):
    """Three spruce sets and ten metres of fretwire, on a shelf."""
    spruce = make_material(
        "Sitka spruce top, mandolin", KeptAs.PIECE, caution="Dust: read the data sheet."
    )
    wire = make_material("Fretwire, medium", KeptAs.LENGTH, unit="m")
    shelf = Place.objects.create(name="Top shelf")
    sets = [PieceFacts(mass_g=Decimal(mass), parts=2) for mass in (868, 842, 905)]
    spruces = NewLine(
        material=spruce, quantity=Decimal(3), price=Decimal(96), place=shelf, pieces=sets
    )
    wires = NewLine(material=wire, quantity=Decimal(10000), price=Decimal(55), place=shelf)
    receive_delivery(received_on=EARLIER.date(), lines=[spruces, wires], now=EARLIER)
    return {"spruce": spruce, "wire": wire}


@pytest.fixture
def builds(stock):
    """A and B are a batch of two carved mandolins, C is another."""
    batch = Batch.objects.create(name="spring pair")
    lines = [planned_line(stock["spruce"]), planned_line(stock["wire"], "1050")]
    made = {
        name: make_build(
            f"{name} mandolin", stages=[planned_stage(stage) for stage in STAGES], lines=lines
        )
        for name in "ABC"
    }
    Build.objects.filter(pk__in=[made["A"].pk, made["B"].pk]).update(batch=batch)
    reserve_for_build(build=made["A"], now=EARLIER)
    return made


@pytest.fixture
def free(stock, builds):
    """A spruce set that is reserved for nobody."""
    lots = stock["spruce"].lots.exclude(promises__outstanding__gt=0)
    return lots.order_by("pk").first()


@pytest.fixture
def new_phone(chromium, shop, posy, builds):
    """Make phones; each is closed, and its complaints are read, at the end."""
    phones = []

    def make(user=posy, **options):
        phones.append(Phone(chromium, shop, **options))
        return phones[-1].pair(user)

    yield make
    complaints = [words for phone in phones for words in phone.complaints]
    for phone in phones:
        phone.close()
    assert complaints == []


@pytest.fixture
def phone(new_phone):
    return new_phone()
