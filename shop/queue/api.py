"""The queue in the API."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.exceptions import NotFound
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.examples import example
from inventory.base.api.fields import DecimalField
from inventory.base.api.views import ActionView
from shop.models import Build, BuildTemplate, ShopThing
from shop.queue.pages.trying import tried
from shop.queue.queries.buying import to_order
from shop.queue.queries.days import day_list
from shop.queue.queries.forecast import QueueAnswer, queue_on
from shop.queue.queries.trying import compare
from shop.queue.services import block_build, move_build, order_queue, promise_day


class StageForecastData(serializers.Serializer):
    """A stage as it is likely to go; the next can begin on `free`."""

    stage = serializers.IntegerField()
    name = serializers.CharField()
    starts = serializers.DateField()
    finishes = serializers.DateField()
    free = serializers.DateField()
    because = serializers.CharField(help_text="What it waits for first: hands, waiting, a thing.")
    early = serializers.DateField(help_text="In one of ten cases it starts before.")


class BuildForecastData(serializers.Serializer):
    """When a build is ready: the likely day, and days kept in 50, 80 and 90 of 100 cases."""

    build = serializers.IntegerField()
    likely = serializers.DateField()
    day_50 = serializers.DateField()
    day_80 = serializers.DateField()
    day_90 = serializers.DateField()
    by_week = serializers.BooleanField(help_text="The cases differ too much to tell days.")
    chance = serializers.FloatField(allow_null=True, help_text="Of the promised day, 0 to 1.")
    why = serializers.DictField(child=serializers.FloatField(), help_text="Days it stands still.")
    note = serializers.CharField()
    stages = StageForecastData(many=True)


class QueueData(serializers.Serializer):
    """Builds in the order in which they are worked on."""

    on = serializers.DateField()
    builds = BuildForecastData(many=True)


@example("a build first", build=3, place=1)
class MoveAsked(serializers.Serializer):
    """A build and its place, counted from 1."""

    build = serializers.PrimaryKeyRelatedField(queryset=Build.objects.all())
    place = serializers.IntegerField(min_value=1)


@example("the whole order", builds=[3, 1, 2])
class OrderAsked(serializers.Serializer):
    """Keys of builds, the first to be worked on first."""

    builds = serializers.ListField(child=serializers.IntegerField(min_value=1), max_length=1000)


@example("until the deposit", build=3, not_before="2027-04-01", waits_for="the deposit")
class BlockAsked(serializers.Serializer):
    """The day before which a build can't go on; null takes it off."""

    build = serializers.PrimaryKeyRelatedField(queryset=Build.objects.all())
    not_before = serializers.DateField(allow_null=True)
    waits_for = serializers.CharField(required=False, allow_blank=True, max_length=60)


@example("a day moved", build=3, day="2027-09-01", told_how="mail", reason="cracked back")
class PromiseAsked(serializers.Serializer):
    """A day; where another one was promised, how the client was told."""

    build = serializers.PrimaryKeyRelatedField(queryset=Build.objects.all())
    day = serializers.DateField()
    reason = serializers.CharField(required=False, allow_blank=True, max_length=200)
    told_how = serializers.CharField(required=False, allow_blank=True, max_length=40)


class PromiseData(serializers.Serializer):
    """The promised day, and what the queue said of it."""

    day = serializers.DateField()
    chance = DecimalField(4, 3, allow_null=True)
    forecast_50 = serializers.DateField(allow_null=True)
    forecast_80 = serializers.DateField(allow_null=True)


@example("a rush order", accept=1, accept_place=1)
class WhatIfAsked(serializers.Serializer):
    """What to try; nothing is saved."""

    move = serializers.PrimaryKeyRelatedField(queryset=Build.objects.all(), required=False)
    place = serializers.IntegerField(min_value=1, required=False)
    drop = serializers.PrimaryKeyRelatedField(queryset=Build.objects.all(), required=False)
    accept = serializers.PrimaryKeyRelatedField(
        queryset=BuildTemplate.objects.all(), required=False
    )
    accept_place = serializers.IntegerField(min_value=1, required=False)
    first = serializers.DateField(required=False)
    last = serializers.DateField(required=False)
    thing = serializers.PrimaryKeyRelatedField(queryset=ShopThing.objects.all(), required=False)
    more = serializers.IntegerField(min_value=1, max_value=99, required=False)
    hours_a_week = serializers.FloatField(min_value=-60, max_value=60, required=False)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if ("first" in attrs) != ("last" in attrs):
            raise serializers.ValidationError({"last": "Give the first and the last day off."})
        if "first" in attrs and attrs["last"] < attrs["first"]:
            raise serializers.ValidationError({"last": "The last day off is before the first."})
        return attrs


class TriedBuildData(serializers.Serializer):
    """A build before and after; the key of one that does not exist yet is `new`."""

    key = serializers.CharField()
    before = serializers.DateField(source="before.day_80", allow_null=True, default=None)
    after = serializers.DateField(source="after.day_80", allow_null=True, default=None)
    days_later = serializers.IntegerField(source="days")
    chance_gained = serializers.FloatField(source="gained", allow_null=True)


class DueStageData(serializers.Serializer):
    """A stage of a build on the day's list; where it waits, until when and for what."""

    build = serializers.IntegerField(source="build.pk")
    serial = serializers.CharField(source="build.serial")
    stage = serializers.IntegerField(source="stage.stage")
    name = serializers.CharField(source="stage.name")
    until = serializers.DateField(allow_null=True)
    waits_for = serializers.CharField()


class DangerData(serializers.Serializer):
    """A promised day that is likely to be missed, and the smallest thing that would help."""

    build = serializers.IntegerField(source="build.pk")
    serial = serializers.CharField(source="build.serial")
    promised_on = serializers.DateField(source="build.promised_on")
    chance = serializers.FloatField(source="forecast.chance")
    helps = serializers.CharField()


class ToOrderData(serializers.Serializer):
    """What a build lacks: by when it is needed, and by when to order it."""

    line = serializers.IntegerField(source="line.pk")
    build = serializers.IntegerField(source="line.build_id")
    serial = serializers.CharField(source="line.build.serial")
    material = serializers.IntegerField(source="material.pk")
    name = serializers.CharField(source="line.name")
    needed_by = serializers.DateField()
    order_by = serializers.DateField()
    late = serializers.BooleanField()
    cost = DecimalField(
        max_digits=18,
        decimal_places=3,
        rounding="ROUND_HALF_UP",
        allow_null=True,
        help_text="At the replacement price; null without one.",
    )


class DayListData(serializers.Serializer):
    """What can start, waits, ends today or has to be ordered; promised dates in danger."""

    on = serializers.DateField()
    free = DueStageData(many=True)
    waiting = DueStageData(many=True)
    ending = DueStageData(many=True)
    in_danger = DangerData(many=True)
    to_order = ToOrderData(many=True, help_text="What has to be ordered by today.")


@extend_schema(tags=["queue"])
class QueueView(ActionView):
    """Every open build in its order, with its forecast."""

    @extend_schema(responses=QueueData)
    def get(self, request: Request) -> Response:
        """Return the queue as it stands today."""
        return Response(_shown(queue_on(timezone.localdate())))

    @extend_schema(request=OrderAsked, responses=QueueData)
    def post(self, request: Request) -> Response:
        """Put the builds in another order."""
        order_queue(**validated_body(OrderAsked, request))
        return Response(_shown(queue_on(timezone.localdate())))


@extend_schema(tags=["queue"])
class MoveView(ActionView):
    """One build moved."""

    @extend_schema(request=MoveAsked, responses=QueueData)
    def post(self, request: Request) -> Response:
        """Put a build on a place; the others close up."""
        move_build(**validated_body(MoveAsked, request))
        return Response(_shown(queue_on(timezone.localdate())))


@extend_schema(tags=["queue"])
class BlockView(ActionView):
    """What a build waits for."""

    @extend_schema(request=BlockAsked, responses=QueueData)
    def post(self, request: Request) -> Response:
        """Record the day before which a build can't go on, or take it off."""
        block_build(**validated_body(BlockAsked, request))
        return Response(_shown(queue_on(timezone.localdate())))


@extend_schema(tags=["queue"])
class PromiseView(ActionView):
    """A day promised."""

    @extend_schema(request=PromiseAsked, responses={201: PromiseData})
    def post(self, request: Request) -> Response:
        """Promise a date to the client, with its chance on record."""
        kept = promise_day(now=timezone.now(), **validated_body(PromiseAsked, request))
        return Response(PromiseData(kept).data, status=201)


@extend_schema(tags=["queue"])
class WhatIfView(ActionView):
    """A change tried on the queue."""

    @extend_schema(request=WhatIfAsked, responses=TriedBuildData(many=True))
    def post(self, request: Request) -> Response:
        """Return every build before and after. Nothing is saved."""
        books = queue_on(timezone.localdate()).books
        compared = compare(books, tried(books, validated_body(WhatIfAsked, request)))
        return Response(TriedBuildData(compared.rows, many=True).data)


@extend_schema(tags=["queue"])
class TodayView(ActionView):
    """The lists of the day."""

    @extend_schema(responses=DayListData)
    def get(self, request: Request) -> Response:
        """Return what is free, what waits, what ends today, and promised dates in danger."""
        return Response(DayListData(day_list(queue_on(timezone.localdate()))).data)


@extend_schema(tags=["queue"])
class BuyingView(ActionView):
    """What to order."""

    @extend_schema(responses=ToOrderData(many=True))
    def get(self, request: Request) -> Response:
        """Return what builds lack, the soonest order first."""
        return Response(ToOrderData(to_order(queue_on(timezone.localdate())), many=True).data)


@extend_schema(tags=["queue"])
class ForecastView(ActionView):
    """The forecast of one build."""

    @extend_schema(responses=BuildForecastData)
    def get(self, request: Request, pk: int) -> Response:
        """Return when the build is ready; 404 where it is not in the queue."""
        build = get_object_or_404(Build, pk=pk)
        found = queue_on(timezone.localdate()).of(build)
        if found is None:
            raise NotFound("This build is not in the queue: it is done or cancelled.")
        return Response(BuildForecastData(found).data)


def _shown(answer: QueueAnswer) -> dict[str, Any]:
    builds = [forecast for _, forecast in answer.rows]
    return dict(QueueData({"on": answer.books.on, "builds": builds}).data)
