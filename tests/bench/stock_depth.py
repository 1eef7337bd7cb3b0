"""Stock in depth: a past day's value, a cutting plan, what to buy, everything out as one file."""

import csv
from collections import Counter, deque
from datetime import timedelta
from decimal import Decimal
from io import StringIO

from django.test import Client
from django.urls import reverse

from inventory.cutting.calc.boards import Blank, StockBoard, plan_boards
from inventory.cutting.calc.costs import Saw
from inventory.ledger.services.demand import NeededLine, replace_demand
from inventory.models import Material, Workshop
from inventory.purchasing.queries.buying import what_to_buy
from inventory.shelf.queries.value import stock_as_of
from shop.archive.documents import everything_zip
from tests.bench.plain_pages import fetch
from tests.bench.timing import Row, median_of, medians_of

BUILDS, LINES = 200, 25
AS_OF_SQL = (
    "SELECT material_id, SUM(quantity), SUM(cost) FROM inventory_stockentry "
    "WHERE happened_at <= %s GROUP BY material_id"
)
SAW = Saw(kerf=Decimal(3), trim=Decimal(20), least_length=Decimal(200), least_width=Decimal(40))


def depth_rows(now, desk: Client) -> list[Row]:
    past = now - timedelta(days=700)
    rows = [as_of_row(past), value_row(past, desk), *cutting_rows(), buying_row()]
    return [*rows, *everything_rows(now)]


def as_of_row(moment) -> Row:
    ours, bare = medians_of(
        lambda: stock_as_of(moment), lambda: fetch(AS_OF_SQL, moment), runs=3, warm=1
    )
    return Row(
        what="stock on a past day from 1,000,000 entries",
        seconds=ours,
        against="the same sums by hand, without the materials",
        bare=bare,
    )


def value_row(moment, desk: Client) -> Row:
    address, day = reverse("stock_value"), {"on": moment.date().isoformat()}
    return Row(
        what="the value page of that day, family by family",
        seconds=median_of(lambda: desk.get(address, day), runs=3, warm=1),
    )


def cutting_rows() -> list[Row]:
    """Sixty blanks on twenty boards: of four sizes on five lengths, and all of different sizes."""
    few = [(620, 80), (430, 150), (300, 55), (510, 70)] * 15
    many = [(250 + 347 * n % 450, 45 + 53 * n % 105) for n in range(60)]
    return [
        cutting_row("four sizes", few, [1800 + 150 * (n % 5) for n in range(20)]),
        cutting_row("sixty sizes", many, [1800 + 613 * n % 600 for n in range(20)]),
    ]


def cutting_row(which: str, sizes: list[tuple[int, int]], lengths: list[int]) -> Row:
    boards = [
        StockBoard(key=str(place), length=Decimal(length), width=Decimal(190))
        for place, length in enumerate(lengths)
    ]
    blanks = [
        Blank(key=f"{length} x {width}", length=Decimal(length), width=Decimal(width), count=count)
        for (length, width), count in Counter(sizes).items()
    ]
    plan = plan_boards(boards, blanks, SAW)
    bound = plan.opened / plan.least_opened if plan.least_opened else Decimal(0)
    return Row(
        what=f"60 blanks of {which}, {bound:.3f} times the bound opened",
        seconds=median_of(lambda: plan_boards(boards, blanks, SAW), runs=3, warm=0),
    )


def buying_row() -> Row:
    materials = list(Material.objects.filter(kept_as="length")[: BUILDS * LINES])
    for build in range(BUILDS):
        own = materials[build * LINES : (build + 1) * LINES]
        replace_demand(
            holder=f"build:{build}",
            holder_name=f"build {build}",
            needs=[
                NeededLine(material=material, quantity=Decimal(10) ** 7, line=str(line))
                for line, material in enumerate(own)
            ],
        )
    return Row(
        what=f"what to buy for {BUILDS} builds of {LINES} lines",
        seconds=median_of(what_to_buy, runs=5, warm=1),
    )


def everything_rows(now) -> list[Row]:
    shop = Workshop.objects.get()

    def journal_as_csv() -> None:
        csv.writer(StringIO()).writerows(fetch("SELECT * FROM inventory_stockentry"))

    whole, bare = medians_of(
        lambda: deque(everything_zip(shop, now), maxlen=0), journal_as_csv, runs=1, warm=0
    )
    return [
        Row(
            what="everything out, packed, with 1,000,000 entries",
            seconds=whole,
            against="the journal alone as it is stored, in memory and not packed",
            bare=bare,
        ),
        Row(
            what="until the first of it is sent",
            seconds=median_of(lambda: next(everything_zip(shop, now)), runs=3, warm=0),
        ),
    ]
