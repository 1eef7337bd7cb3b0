"""The one place that locks stock."""

from collections.abc import Iterable

from inventory.models import Material


def lock_materials(materials: Iterable[Material]) -> dict[int, Material]:
    """Lock the rows of `materials` in key order and return them fresh, by key.

    Call once in a transaction, before anything is checked. SQLite has no row locks: there the
    transaction itself is exclusive from its start, and constraints are the last guard on both.
    """
    keys = sorted({material.pk for material in materials})
    rows = Material.objects.select_for_update().filter(pk__in=keys).order_by("pk")
    return {material.pk: material for material in rows}
