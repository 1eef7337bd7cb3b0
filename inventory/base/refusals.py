"""What the program says when it declines: a class with data, a sentence a maker can act on."""

from datetime import date, datetime

from django.utils import timezone

from inventory.base.calc.likely import happened_by


class Refusal(Exception):
    """A request that can't be done, told in one sentence that says what is wrong and what to do.

    `field` names the input the sentence belongs to, or is empty when it belongs to the whole.
    """

    def __init__(self, sentence: str, *, field: str = "") -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.field = field


def check_happened(day: date, now: datetime, field: str) -> None:
    """Refuse a `day` on which nothing can have happened by `now`."""
    if wrong := happened_by(day, today=timezone.localtime(now).date()):
        raise Refusal(wrong, field=field)
