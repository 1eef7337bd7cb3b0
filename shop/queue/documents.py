"""The queue as a calendar (RFC 5545), and on one sheet for the wall."""

from datetime import date, datetime, timedelta

from icalendar import Calendar, Event

from inventory.base.documents import page_size, write_pdf
from inventory.models import Workshop
from shop.base.pictures.shapes import Picture
from shop.queue.queries.buying import to_order
from shop.queue.queries.forecast import QueueAnswer


def calendar_of(answer: QueueAnswer, *, now: datetime, host: str) -> bytes:
    """Return ends of waiting, promised and order-by dates: whole days, each of a lasting name."""
    calendar = Calendar()
    calendar.add("prodid", "-//Gramil//queue//EN")
    calendar.add("version", "2.0")
    calendar.add("name", "Workshop queue")
    for build, forecast in answer.rows:
        if build.promised_on:
            words = f"Promised: {build}"
            calendar.add_component(
                _event(f"promised-{build.pk}@{host}", words, build.promised_on, now)
            )
        for stage in forecast.stages[:1]:
            if stage.starts > answer.books.on:
                words = f"{build.serial}: {stage.name} can begin"
                calendar.add_component(
                    _event(f"free-{stage.stage}@{host}", words, stage.starts, now)
                )
    for one in to_order(answer):
        words = f"Order by: {one.material} for {one.line.build.serial}"
        calendar.add_component(_event(f"order-{one.line.pk}@{host}", words, one.order_by, now))
    return bytes(calendar.to_ical())


def print_wall_sheet(answer: QueueAnswer, picture: Picture, workshop: Workshop) -> bytes:
    """Return the queue as PDF: one sheet for up to a dozen builds, landscape."""
    context = {
        "rows": answer.rows,
        "picture": picture,
        "shop": workshop,
        "on": answer.books.on,
        "size": page_size(workshop.country),
    }
    return write_pdf("shop/papers/queue.html", context, goal=1)


def _event(uid: str, words: str, day: date, now: datetime) -> Event:
    event = Event()
    event.add("uid", uid)
    event.add("summary", words)
    event.add("dtstart", day)
    event.add("dtend", day + timedelta(days=1))
    event.add("dtstamp", now)
    return event
