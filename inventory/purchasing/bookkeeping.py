"""Writing down what a delivery taught. The caller holds the locks of the materials."""

from collections.abc import Iterable
from datetime import date

from inventory.models import DeliveryLine
from inventory.purchasing.queries.lessons import Lesson
from inventory.shelf.services.records import learn_price


def learn_from(lessons: Iterable[Lesson], lines: Iterable[DeliveryLine], on: date) -> None:
    """Give each material its supplier, lead time, pack and price of the day, from its last line."""
    last_lines = {line.material_id: line for line in lines}
    for lesson in lessons:
        material = lesson.material
        if lesson.supplier is not None:
            material.supplier = lesson.supplier
        if lesson.lead_days is not None:
            material.lead_time_days = lesson.lead_days
        if lesson.pack is not None:
            material.pack = lesson.pack
        material.save(update_fields=["supplier", "lead_time_days", "pack"])
        if lesson.price is not None:
            learn_price(line=last_lines[material.pk], price=lesson.price, on=on)
