"""The clock in the API: start, stop, switch, undo, interruptions, forgotten stops."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.device_time import DEVICE_TIME, moment_of
from inventory.base.api.examples import example
from inventory.base.api.views import ActionView
from shop.hours.api.time_data import EntryAsked, ListedTimeEntryData, WorkAsked
from shop.hours.queries.catch_up import reasons_in_use
from shop.hours.queries.clock import day_end, ends_offered, in_full, running_entries, unsure_entries
from shop.hours.services.clock import (
    settle_forgotten_stop,
    start_clock,
    stop_clock,
    switch_clock,
    undo_clock,
)
from shop.hours.services.entries import record_interruption
from shop.models import TimeEntry

TAGS = ["clock"]
MOST_OFFERED = 5
"For so many forgotten stops at once ends are offered; the rest follow once these are settled."

START_EXAMPLE = OpenApiExample(
    "a batch",
    value={
        "at": "2027-03-16T08:40:00Z",
        "work": [{"build": 1, "stage": 5}, {"build": 2, "stage": 23}],
    },
    request_only=True,
)


class WhenField(serializers.DateTimeField):
    """When it happened, by the device's clock; left out, it is now."""

    def __init__(self) -> None:
        super().__init__(
            required=False, allow_null=True, help_text="By the device's clock; default: now."
        )


class StartAsked(EntryAsked):
    """What to start, and when."""

    at = WhenField()


class EntryNamed(serializers.Serializer):
    """One time entry."""

    entry = serializers.PrimaryKeyRelatedField(queryset=TimeEntry.objects.all())


@example("the last tap", entry=7, at="2027-03-16T08:40:05Z")
class TapAsked(EntryNamed):
    """One time entry and when."""

    at = WhenField()


@example("before lunch", entry=7, at="2027-03-16T11:40:00Z")
class StopAsked(TapAsked):
    """What to stop; `work` gives each build's seconds by hand."""

    work = WorkAsked(many=True, required=False)


@example("a visitor", entry=7, started_at="2027-03-16T09:50:00Z", minutes=20, reason="visitor")
class InterruptionAsked(EntryNamed):
    """An interruption inside an entry, not billable."""

    started_at = serializers.DateTimeField()
    minutes = serializers.IntegerField(min_value=1)
    reason = serializers.CharField(max_length=80)


@example("it was six", entry=7, end="2027-03-15T17:00:00Z", noticed_at="2027-03-16T07:55:00Z")
class SettleAsked(EntryNamed):
    """The chosen end of a clock that nobody stopped; `noticed_at` is when that was seen."""

    end = serializers.DateTimeField()
    noticed_at = WhenField()
    why = serializers.CharField(required=False, max_length=200)


class OfferData(serializers.Serializer):
    """A sensible end of a clock that was never stopped."""

    entry = serializers.IntegerField()
    key = serializers.ChoiceField(choices=["last", "day_end", "midnight", "now"])
    at = serializers.DateTimeField()
    seconds = serializers.IntegerField()
    words = serializers.CharField()


class ClockData(serializers.Serializer):
    """What runs, what is unsure, and what a device needs to offer ends by itself."""

    now = serializers.DateTimeField()
    day_ends_at = serializers.TimeField()
    reasons = serializers.ListField(child=serializers.CharField())
    running = ListedTimeEntryData(many=True)
    unsure = ListedTimeEntryData(many=True)
    offers = OfferData(many=True)


class SwitchData(serializers.Serializer):
    """The new entry, and those that were stopped."""

    started = ListedTimeEntryData()
    stopped = ListedTimeEntryData(many=True)


class ClockView(ActionView):
    """The clocks that run now."""

    @extend_schema(tags=TAGS, responses=ClockData)
    def get(self, request: Request) -> Response:
        """Return every running and unsure entry, with the ends that may be chosen for my own."""
        now = timezone.now()
        running, unsure = list(running_entries()), list(unsure_entries())
        mine = [entry for entry in [*running, *unsure] if entry.person_id == request.user.pk]
        mine = mine[:MOST_OFFERED]
        offers = [
            {"entry": entry.pk, "key": one.key, "at": one.at, "seconds": one.seconds}
            | {"words": one.words}
            for entry in mine
            for one in ends_offered(entry, now)
        ]
        clock = {"now": now, "day_ends_at": day_end(), "reasons": reasons_in_use()}
        shown = clock | {"running": running, "unsure": unsure, "offers": offers}
        return Response(ClockData(shown).data)


@extend_schema(
    tags=TAGS,
    parameters=[DEVICE_TIME],
    request=StartAsked,
    responses={201: ListedTimeEntryData},
    examples=[START_EXAMPLE],
)
class StartView(ActionView):
    """Start a clock."""

    def post(self, request: Request) -> Response:
        """Start the clock; whatever else runs goes on."""
        return Response(shown(start_clock(**started_by(request))), status=201)


@extend_schema(
    tags=TAGS,
    parameters=[DEVICE_TIME],
    request=StartAsked,
    responses={201: SwitchData},
    examples=[START_EXAMPLE],
)
class SwitchView(ActionView):
    """Switch the clock."""

    def post(self, request: Request) -> Response:
        """Stop my clocks and start another in one act."""
        stopped, started = switch_clock(**started_by(request))
        body = {"started": shown(started), "stopped": [shown(entry) for entry in stopped]}
        return Response(body, status=201)


@extend_schema(
    tags=TAGS, parameters=[DEVICE_TIME], request=StopAsked, responses=ListedTimeEntryData
)
class StopView(ActionView):
    """Stop a clock."""

    def post(self, request: Request) -> Response:
        """Stop one clock; past midnight it counts up to midnight and is unsure."""
        asked = validated_body(StopAsked, request)
        moment = moment_of(request, asked.get("at"))
        entry = stop_clock(
            entry=asked["entry"],
            now=timezone.now(),
            at=moment.at,
            device_at=moment.device_at,
            work=asked.get("work", ()),
        )
        return Response(shown(entry))


@extend_schema(tags=TAGS, parameters=[DEVICE_TIME], request=TapAsked, responses=ListedTimeEntryData)
class UndoView(ActionView):
    """Undo a tap."""

    def post(self, request: Request) -> Response:
        """Undo the last start, switch or stop of an entry within ten seconds."""
        asked = validated_body(TapAsked, request)
        at = moment_of(request, asked.get("at")).at
        entry = undo_clock(entry=asked["entry"], now=timezone.now(), user=request.user, at=at)
        return Response(shown(entry))


@extend_schema(
    tags=TAGS,
    parameters=[DEVICE_TIME],
    request=InterruptionAsked,
    responses={201: ListedTimeEntryData},
)
class InterruptionView(ActionView):
    """Note an interruption."""

    def post(self, request: Request) -> Response:
        """Record an interruption inside an entry; the entry gets that much shorter."""
        asked = validated_body(InterruptionAsked, request)
        moment = moment_of(request, asked.pop("started_at"))
        entry = record_interruption(
            started_at=moment.at,
            device_at=moment.device_at,
            now=timezone.now(),
            user=request.user,
            **asked,
        )
        return Response(shown(entry), status=201)


@extend_schema(
    tags=TAGS, parameters=[DEVICE_TIME], request=SettleAsked, responses=ListedTimeEntryData
)
class SettleView(ActionView):
    """Settle a forgotten stop."""

    def post(self, request: Request) -> Response:
        """End a clock that nobody stopped at the chosen end; how long it ran is kept beside it."""
        asked = validated_body(SettleAsked, request)
        noticed = moment_of(request, asked.pop("noticed_at", None))
        entry = settle_forgotten_stop(
            end=moment_of(request, asked.pop("end")).at,
            noticed_at=noticed.at,
            device_at=noticed.device_at,
            now=timezone.now(),
            user=request.user,
            **asked,
        )
        return Response(shown(entry))


def started_by(request: Request) -> dict[str, Any]:
    """Return the arguments of `start_clock` and `switch_clock` that `request` gives."""
    asked = validated_body(StartAsked, request)
    moment = moment_of(request, asked.pop("at", None))
    return asked | {
        "person": request.user,
        "now": timezone.now(),
        "at": moment.at,
        "device_at": moment.device_at,
        "skew_seconds": moment.skew_seconds,
        "is_billable": not asked["reason"],
    }


def shown(entry: TimeEntry) -> Any:
    """Return the data of `entry` as it stands now, with its version."""
    return ListedTimeEntryData(in_full(TimeEntry.objects.all()).get(pk=entry.pk)).data
