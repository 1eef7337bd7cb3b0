"""Which rows of the stock are copied: materials, deliveries, lots and the journal."""

from inventory import models as stock
from inventory.models import Lot, Material, StockEntry
from shop.models import BuildDraw
from tests.bench.years.rows import STRIDE, Copies, varied
from tests.bench.years.times import Kinds, Times, back, is_held_by, numbered


def materials_bought(times: Times) -> list[Copies]:
    each = times.materials
    named = {"name": "old.name || ', no. ' || (turn + 1)"}
    return [
        Copies(model=stock.Supplier, times=min(each, 20), also=named, days=0),
        Copies(
            model=Material,
            times=each,
            links={"supplier": f"({varied('old.id', 1, min(each, 20))})"},
            also=named,
            days=700,
        ),
        *(
            Copies(model=model, times=each, links=links, days=0)
            for model, links in (
                (stock.PriceBreak, {"material": each}),
                (stock.Recipe, {"material": each}),
                (stock.RecipePart, {"recipe": each, "material": each}),
                (stock.SingleString, {"material": each}),
                (stock.StringSet, {"recipe": each}),
                (stock.SetString, {"string_set": each, "single": each}),
            )
        ),
    ]


def stock_rows(times: Times, kinds: Kinds) -> list[Copies]:
    """Deliveries, lots and the journal; every other copy is of the materials that patterns name."""
    each = times.stock
    material = f"(CASE WHEN turn % 2 = 0 THEN 0 ELSE turn % {times.materials + 1} END)"
    supplier = f"({varied('old.id', 1, min(times.materials, 20))})"
    held = _holder(times, kinds)
    ended = (
        f"CASE WHEN old.ended_at IS NULL AND turn <= {times.open} THEN NULL ELSE "
        f"{back('coalesce(old.ended_at, old.made_at)', each, is_day=False)} END"
    )
    left = f"CASE WHEN turn <= {times.open} THEN old.outstanding ELSE 0 END"
    lot = {"lot": each}
    rows = [
        Copies(
            model=stock.Bill,
            times=each,
            links={"supplier": supplier},
            also={"number": "old.number || '-' || turn"},
        ),
        Copies(model=stock.Delivery, times=each, links={"supplier": supplier, "bill": each}),
        Copies(
            model=stock.Order,
            times=each,
            links={"supplier": supplier},
            also={
                "number": numbered("old.made_on", "old.number", each, at=1),
                "closed_on": back("old.made_on", each),
                "sent_on": back("old.made_on", each),
            },
        ),
        Copies(model=stock.OrderLine, times=each, links={"order": each, "material": material}),
        Copies(
            model=stock.DeliveryLine,
            times=each,
            links={"delivery": each, "material": material, "order_line": each},
        ),
        Copies(
            model=Lot,
            times=each,
            links={
                "material": material,
                "supplier": supplier,
                "delivery_line": each,
                "cut_from": each,
            },
            also={"number": f"substr(old.number, 1, 2) || (turn * {STRIDE} + old.id)"},
        ),
        Copies(model=stock.Piece, times=each, links=lot),
        Copies(
            model=stock.PriceNote,
            times=each,
            links={"material": material, "supplier": supplier, "delivery_line": each},
            also={"price": f"old.price * {varied('old.id', 55, 110)} / 100.0"},
        ),
        Copies(
            model=StockEntry,
            times=each,
            links={"material": material, "lot": each, "about": each, "act": each},
            also={"holder": held, "line": f"CASE WHEN turn = 0 THEN old.line ELSE {_line()} END"},
        ),
        Copies(model=stock.Weighing, times=each, links=lot),
        Copies(model=stock.MoistureReading, times=each, links=lot),
        Copies(model=stock.Paper, times=each, links=lot),
        Copies(
            model=stock.Promise,
            times=each,
            links={"material": material, "lot": each},
            also={"holder": held, "ended_at": ended, "outstanding": left, "line": _line()},
        ),
        Copies(model=stock.PromiseUse, times=each, links={"promise": each, "entry": each}),
        Copies(
            model=stock.Need,
            times=times.open,
            where=is_held_by("old.holder", kinds.open),
            links={"material": "(CASE WHEN turn % 2 = 0 THEN 0 ELSE turn END)"},
            also={"holder": held, "line": _line()},
            days=60,
        ),
        Copies(
            model=stock.Count,
            times=times.counts,
            also={
                "closed_at": back("coalesce(old.closed_at, old.begun_at)", times.counts, False),
                "name": "old.name || ', ' || turn",
            },
        ),
        Copies(
            model=stock.CountLine,
            times=times.counts,
            links={
                "count": times.counts,
                "lot": each,
                "material": material.replace("turn", f"(1 + (turn - 1) * {each} / {times.counts})"),
            },
            also={"counted": "coalesce(old.counted, old.expected)"},
        ),
    ]
    draws = [
        Copies(
            model=BuildDraw,
            times=turns,
            where=f"old.build_id IN ({builds})",
            links={"build": theirs, "line": theirs, "stage": theirs, "entry": turns},
        )
        for builds, turns, theirs in (
            (kinds.delivered, each, times.orders),
            (kinds.open, times.open, times.open),
        )
    ]
    return [*rows, *draws]


def _holder(times: Times, kinds: Kinds) -> str:
    """Return SQL for whom a copy of stock is held: the copy of the same build, where there is one.

    What builds under way drew long ago went to builds that were delivered since.
    """
    delivered = f"(1 + (turn - 1) * {times.orders} / {times.stock}) * {STRIDE}"
    first = kinds.delivered.split(",")[0].strip()
    key = "CAST(substr(old.holder, 7) AS integer)"
    return (
        f"CASE WHEN {is_held_by('old.holder', kinds.delivered)}"
        f" THEN 'build:' || ({key} + {delivered})"
        f" WHEN old.holder LIKE 'build:%' AND turn <= {times.open}"
        f" THEN 'build:' || ({key} + turn * {STRIDE})"
        f" WHEN old.holder LIKE 'build:%' THEN 'build:' || ({first} + {delivered})"
        f" WHEN old.holder LIKE 'quote:%' THEN 'quote:' || ({key} + turn * {STRIDE})"
        " ELSE old.holder END"
    )


def _line() -> str:
    key = "CAST(substr(old.line, {}) AS integer)"
    return (
        f"CASE WHEN old.line LIKE 'line:%' THEN 'line:' || ({key.format(6)} + turn * {STRIDE})"
        f" WHEN old.line LIKE 'row:%' THEN 'row:' || ({key.format(5)} + turn * {STRIDE})"
        " ELSE old.line END"
    )
