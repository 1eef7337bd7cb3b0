"""Addresses of hours: its pages, and its part of the API."""

from datetime import date

from django.urls import URLPattern, URLResolver, path, register_converter
from rest_framework.routers import SimpleRouter

from shop.hours.api import clock as clock_api
from shop.hours.api.time_entries import TimeEntryViewSet
from shop.hours.pages import clock, hours


class DayConverter:
    """A calendar day in an address, such as 2027-03-16."""

    regex = r"\d{4}-\d{2}-\d{2}"

    def to_python(self, value: str) -> date:
        return date.fromisoformat(value)

    def to_url(self, value: date) -> str:
        return value.isoformat()


register_converter(DayConverter, "day")


urlpatterns: list[URLPattern | URLResolver] = [
    path("clock/switch/", clock.clock_switch, name="clock_switch"),
    path("clock/<int:pk>/stop/", clock.clock_stop, name="clock_stop"),
    path("clock/<int:pk>/undo/", clock.clock_undo, name="clock_undo"),
    path("clock/<int:pk>/settle/", clock.clock_settle, name="clock_settle"),
    path("hours/", hours.hours, name="hours"),
    path("hours/<day:day>/", hours.hours_day, name="hours_day"),
    path("hours/week/<day:day>/", hours.hours_week, name="hours_week"),
    path("hours/month/<day:day>/", hours.hours_month, name="hours_month"),
    path("hours/year/<int:year>/", hours.hours_year, name="hours_year"),
    path("hours/entries/<int:pk>/", hours.hours_entry, name="hours_entry"),
]

router = SimpleRouter()
router.register("time-entries", TimeEntryViewSet)

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("clock/", clock_api.ClockView.as_view(), name="api_clock"),
    path("clock/start/", clock_api.StartView.as_view(), name="api_clock_start"),
    path("clock/switch/", clock_api.SwitchView.as_view(), name="api_clock_switch"),
    path("clock/stop/", clock_api.StopView.as_view(), name="api_clock_stop"),
    path("clock/undo/", clock_api.UndoView.as_view(), name="api_clock_undo"),
    path(
        "clock/interruptions/", clock_api.InterruptionView.as_view(), name="api_clock_interruption"
    ),
    path("clock/settle/", clock_api.SettleView.as_view(), name="api_clock_settle"),
    *router.urls,
]
