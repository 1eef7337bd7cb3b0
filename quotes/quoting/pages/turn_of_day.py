"""What every request of the books passes through."""

from collections.abc import Callable
from datetime import date

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from quotes.quoting.services.decide import expire_quotes


class TurnOfDayMiddleware:
    """End what the day has ended before the first request of a new day is answered.

    Once a day in each process. What is put aside is a figure of the stock, so that every page and
    every answer that counts it is right without asking for dates of its own.
    """

    day: date | None = None
    """The day that this process has turned to."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        now = timezone.now()
        on = timezone.localdate(now)
        if self.is_due(on):
            expire_quotes(on=on, now=now)
            TurnOfDayMiddleware.day = on
        return self.get_response(request)

    def is_due(self, on: date) -> bool:
        """Say whether this process has not turned to the day yet."""
        return TurnOfDayMiddleware.day != on
