"""What is written to the copied journal besides: more draws, emptied shelves, balances."""

from tests.bench.years.rows import STRIDE, earlier, execute, is_postgres
from tests.bench.years.times import Kinds, Times

DRAWS_FROM = 10_000_000


def draw_more(times: Times, kinds: Kinds) -> None:
    """Draw from every lot that isn't a piece, and have received as much more of it."""
    least, most = times.draws_of_a_lot
    builds = [*kinds.delivered.split(","), *kinds.past.split(",")]
    per_order = len(kinds.delivered.split(","))
    turn = f"(1 + (lot.id + turn) * 13 % {times.orders})"
    past = f"(1 + (lot.id + turn) * 13 % {times.past})"
    which = f"(lot.id + turn * 5) % {len(builds)}"
    held = " ".join(
        f"WHEN {place} THEN {key.strip()} + {turn if place < per_order else past} * {STRIDE}"
        for place, key in enumerate(builds)
    )
    number = f"({DRAWS_FROM} + lot.id * 200 + turn)"
    quantity = (
        "(CASE WHEN material.kept_as = 'count' THEN 1000 * (1 + (lot.id + turn) % 4) "
        "ELSE 1000 * (5 + (lot.id * 31 + turn * 17) % 90) END)"
    )
    when = earlier("received.happened_at", "-turn * 3", is_day=False)
    execute(
        "INSERT INTO inventory_stockentry (id, material_id, lot_id, reason, quantity, cost, holder,"
        " line, note, happened_at, recorded_at, recorded_by_id, to_reconcile)"
        f" SELECT {number}, lot.material_id, lot.id,"
        " CASE WHEN turn % 23 = 0 THEN 'scrapped' WHEN turn % 2 = 0 THEN 'counted' ELSE 'drawn'"
        f" END, -{quantity}, -{quantity} * (3 + lot.id % 40) / 100,"
        f" CASE WHEN turn % 2 = 0 THEN '' ELSE 'build:' || (CASE {which} {held} END) END,"
        f" '', '', {when}, {when}, received.recorded_by_id, {'false' if is_postgres() else '0'}"
        " FROM inventory_lot lot JOIN inventory_material material ON material.id = lot.material_id"
        " JOIN inventory_stockentry received ON received.lot_id = lot.id"
        f" AND received.reason = 'received' AND received.id < {DRAWS_FROM}"
        f" CROSS JOIN turns WHERE material.kept_as <> 'piece' AND lot.id > {STRIDE}"
        f" AND turn <= {least} + (lot.id * 7919) % {most - least}"
    )
    execute(
        "INSERT INTO shop_builddraw (id, build_id, entry_id) SELECT id,"
        " CAST(substr(holder, 7) AS integer), id FROM inventory_stockentry"
        f" WHERE id > {DRAWS_FROM} AND holder <> ''"
    )
    execute(
        "WITH more AS (SELECT lot_id, SUM(quantity) AS quantity, SUM(cost) AS cost"
        f" FROM inventory_stockentry WHERE id > {DRAWS_FROM} GROUP BY lot_id)"
        " UPDATE inventory_stockentry SET quantity = inventory_stockentry.quantity - more.quantity,"
        " cost = inventory_stockentry.cost - more.cost FROM more"
        " WHERE more.lot_id = inventory_stockentry.lot_id AND reason = 'received'"
        f" AND id < {DRAWS_FROM}"
    )


def empty_old_shelves(times: Times) -> None:
    """Use up what lies on the shelf of all but the latest copies."""
    old = f"lot.remaining > 0 AND lot.id > {times.on_shelf * STRIDE + STRIDE}"
    when = "received.happened_at"
    later = earlier(when, "-400", is_day=False)
    execute(
        "INSERT INTO inventory_stockentry (id, material_id, lot_id, reason, quantity, cost, holder,"
        " line, note, happened_at, recorded_at, recorded_by_id, to_reconcile)"
        f" SELECT {DRAWS_FROM} + lot.id * 200 + 199, lot.material_id, lot.id, 'sold',"
        f" -lot.remaining, -lot.remaining_cost, '', '', '', {later}, {later},"
        f" received.recorded_by_id, {'false' if is_postgres() else '0'} FROM inventory_lot lot JOIN"
        " (SELECT lot_id, MIN(happened_at) AS happened_at, MIN(recorded_by_id) AS recorded_by_id"
        f" FROM inventory_stockentry WHERE id < {DRAWS_FROM} GROUP BY lot_id) received"
        f" ON received.lot_id = lot.id WHERE {old}"
    )
    gone = f"SELECT lot.id FROM inventory_lot lot WHERE {old}"
    execute(f"UPDATE inventory_piece SET gone = 'sold' WHERE lot_id IN ({gone})")
    execute(f"UPDATE inventory_lot SET remaining = 0, remaining_cost = 0 WHERE id IN ({gone})")


def add_up() -> None:
    """Write the balances that follow from the copied journal and promises."""
    sums = {
        "on_hand": "SELECT SUM(quantity) FROM inventory_stockentry WHERE material_id = m.id",
        "book_cost": "SELECT SUM(cost) FROM inventory_stockentry WHERE material_id = m.id",
        "promised": (
            "SELECT SUM(r.outstanding) FROM inventory_promise r"
            " LEFT JOIN inventory_lot l ON l.id = r.lot_id"
            " LEFT JOIN inventory_piece p ON p.lot_id = r.lot_id"
            " WHERE r.material_id = m.id AND (r.lot_id IS NULL OR l.remaining > 0"
            " AND p.state IN ('seasoning', 'ready'))"
        ),
        "unfit": (
            "SELECT 1000 * COUNT(*) FROM inventory_piece p JOIN inventory_lot l ON l.id = p.lot_id"
            " WHERE l.material_id = m.id AND l.remaining > 0"
            " AND p.state NOT IN ('seasoning', 'ready')"
        ),
    }
    columns = ", ".join(f"{name} = coalesce(({sql}), 0)" for name, sql in sums.items())
    execute(f"UPDATE inventory_material AS m SET {columns}")
