"""Writing down what a delivery taught. The caller holds the locks of the materials."""

from collections.abc import Iterable
from datetime import date

from inventory.purchasing.queries.lessons import Lesson
from inventory.shelf.services.records import learn_price


def learn_from(lessons: Iterable[Lesson], on: date) -> None:
    """Give each material its supplier, lead time and replacement price as of the day."""
    for lesson in lessons:
        material = lesson.material
        if lesson.supplier is not None:
            material.supplier = lesson.supplier
        if lesson.lead_days is not None:
            material.lead_time_days = lesson.lead_days
        material.save(update_fields=["supplier", "lead_time_days"])
        if lesson.price is not None:
            learn_price(material=material, price=lesson.price, on=on)
