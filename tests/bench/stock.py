"""Stock: 20,000 materials and pieces, with 10,000 and then 1,000,000 entries in the journal."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

from django.conf import settings
from django.contrib.auth.models import Group, User
from django.db import connection
from django.test import Client
from django.urls import reverse

from inventory.models import Family, KeptAs, Lot, Material, Piece, Reason, StockEntry, Workshop
from inventory.reservations.services import reserve_stock
from tests.bench.plain_pages import fetch
from tests.bench.stock_depth import depth_rows
from tests.bench.timing import Row, median_of, medians_of

NOW = datetime(2027, 3, 2, 9, 0, tzinfo=UTC)
MATERIALS, PIECES = 15_000, 5_000
FEW, MANY = 10_000, 1_000_000
ON_HAND = Decimal(1_000_000)
GROWTH, BESIDE_SQL = 1.2, 1.5
RUNS = 21
ON_THE_DESK = "SQL by hand and a plain table on the same desk"
AGAINST = {
    "the stock page of 50": ON_THE_DESK,
    "the API's list of 50": ON_THE_DESK,
    "the same list, by the frameworks": "Django's rows and the REST framework's serializer alone",
}


def bench() -> list[Row]:
    Workshop.objects.create(pk=1, name="Turnip Hollow", maker="Posy Thimblewick", currency="EUR")
    settings.ROOT_URLCONF = "tests.bench.plain_pages"
    make_shelf()
    make_entries(FEW)
    few = measured()
    make_entries(MANY)
    many = measured()
    return [
        *beside_sql(FEW, few),
        *grown(few, many),
        *beside_sql(MANY, many),
        *depth_rows(NOW, a_desk()),
    ]


def make_shelf() -> None:
    """Materials, and pieces of one more material, with their balances as the journal has them."""
    family = Family.objects.create(name="Tonewoods")
    common = {"family": family, "on_hand": ON_HAND, "book_cost": Decimal(100)}
    Material.objects.bulk_create(
        Material(
            name=f"material {n:05}", kept_as=KeptAs.LENGTH, cost_method="fifo", unit="m", **common
        )
        for n in range(MATERIALS)
    )
    spruce = Material.objects.create(
        name="spruce", kept_as=KeptAs.PIECE, cost_method="actual", unit="ea", **common
    )
    lots = [
        Lot(
            number=f"A-{n:05}",
            material=material,
            received_on=date(2027, 1, 1),
            remaining=ON_HAND,
            remaining_cost=Decimal(100),
        )
        for n, material in enumerate(Material.objects.exclude(pk=spruce.pk))
    ]
    lots += [
        Lot(
            number=f"T-{n:05}",
            material=spruce,
            received_on=date(2027, 1, 1),
            remaining=Decimal(1),
            remaining_cost=Decimal(30),
        )
        for n in range(PIECES)
    ]
    Lot.objects.bulk_create(lots, batch_size=5000)
    Piece.objects.bulk_create(
        Piece(lot=lot, is_ready=True) for lot in Lot.objects.filter(material=spruce)
    )


def make_entries(wanted: int) -> None:
    """Fill the journal up to `wanted` entries, spread over all lots and six years."""
    lots = list(Lot.objects.values_list("pk", "material_id"))
    start = StockEntry.objects.count()
    day = timedelta(minutes=3)
    for first in range(start, wanted, 50_000):
        StockEntry.objects.bulk_create(
            (
                StockEntry(
                    lot_id=lots[n % len(lots)][0],
                    material_id=lots[n % len(lots)][1],
                    reason=Reason.DRAWN,
                    quantity=Decimal(-1),
                    cost=Decimal(-1),
                    holder=f"build:{n % 5000}",
                    happened_at=NOW - n * day,
                    recorded_at=NOW - n * day,
                )
                for n in range(first, min(first + 50_000, wanted))
            ),
            batch_size=2000,
        )
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")


def measured() -> dict[str, tuple[float, float]]:
    """Return medians of ours and of the bare thing, by what is measured."""
    desk = a_desk()
    stock, api = reverse("stock"), "/api/v1/materials/?is_archived=false"
    material = Material.objects.order_by("-pk")[100]
    return {
        "the stock page of 50": medians_of(
            lambda: desk.get(stock), lambda: desk.get("/plain/"), RUNS
        ),
        "the API's list of 50": medians_of(
            lambda: desk.get(api), lambda: desk.get("/plain.json"), RUNS
        ),
        "the same list, by the frameworks": medians_of(
            lambda: desk.get(api), lambda: desk.get("/plain-rest.json"), RUNS
        ),
        "one on-hand figure": medians_of(
            lambda: Material.objects.only("on_hand").get(pk=material.pk).on_hand,
            lambda: fetch("SELECT on_hand FROM inventory_material WHERE id = %s", material.pk),
            101,
            20,
        ),
        "one promise": (median_of(lambda: promise_one(material), 31, 5), 0.0),
    }


def a_desk() -> Client:
    user = User.objects.get_or_create(username="posy")[0]
    user.groups.add(Group.objects.get_or_create(name="owner")[0])
    desk = Client()
    desk.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    return desk


def promise_one(material: Material) -> None:
    reserve_stock(
        material=material, quantity=Decimal(1), holder="build:1", holder_name="one", now=NOW
    )


def beside_sql(entries: int, figures: dict[str, tuple[float, float]]) -> list[Row]:
    return [
        Row(
            what=f"{what}, {entries:,} entries",
            seconds=ours,
            against=AGAINST.get(what, "the same SQL by hand") if bare else "",
            bare=bare or None,
            wanted=BESIDE_SQL if "of 50" in what else None,
        )
        for what, (ours, bare) in figures.items()
    ]


def grown(few: dict[str, tuple[float, float]], many: dict[str, tuple[float, float]]) -> list[Row]:
    return [
        Row(
            what=f"{what}, {MANY:,} entries",
            seconds=many[what][0],
            against=f"the same with {FEW:,} entries",
            bare=few[what][0],
            wanted=GROWTH,
        )
        for what in few
    ]
