"""Time entries in the API: read, typed in afterwards, put right."""

from datetime import date
from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone
from django_filters import rest_framework as filters
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.changed import ChangesMixin
from inventory.base.api.device_time import DEVICE_TIME, check_likely, moment_of
from inventory.base.api.etags import VersionedMixin
from inventory.base.api.fields import HappenedField
from inventory.base.api.views import ReadViewSet
from shop.hours.api.time_data import EntryAsked, ListedTimeEntryData, TimeEntryData, WorkAsked
from shop.hours.bookkeeping import WAYS
from shop.hours.queries.clock import in_full
from shop.hours.services.entries import catch_up_hours, correct_hours, log_hours
from shop.models import TimeEntry

TAGS = ["hours"]


class LogAsked(EntryAsked):
    """Hours typed in afterwards; `started_at` only when the clock times are known."""

    day = HappenedField()
    minutes = serializers.IntegerField(min_value=1)
    started_at = serializers.DateTimeField(
        required=False, allow_null=True, validators=[check_likely]
    )
    told_at = serializers.DateTimeField(
        required=False, allow_null=True, help_text="The device's clock as it was typed."
    )


class LineAsked(serializers.Serializer):
    """One typed line and the day on which it was typed."""

    line = serializers.CharField(
        max_length=300,
        help_text="Day, hours, stage, builds or a reason, in any order; `again` for rework.",
    )
    on = serializers.DateField(required=False)
    told_at = serializers.DateTimeField(required=False, allow_null=True)


class CorrectionAsked(serializers.Serializer):
    """What to change; the rest stays."""

    day = HappenedField(required=False)
    minutes = serializers.IntegerField(required=False, min_value=1)
    started_at = serializers.DateTimeField(required=False, validators=[check_likely])
    stopped_at = serializers.DateTimeField(required=False, validators=[check_likely])
    work = WorkAsked(many=True, required=False)
    split_by = serializers.ChoiceField(choices=list(WAYS.items()), required=False)
    is_billable = serializers.BooleanField(required=False)
    is_remake = serializers.BooleanField(required=False, help_text="Rework.")
    reason = serializers.CharField(required=False, allow_blank=True, max_length=80)
    note = serializers.CharField(required=False, allow_blank=True, max_length=300)
    why = serializers.CharField(required=False, max_length=200)


class TimeEntryFilter(filters.FilterSet):  # type: ignore[misc]
    """Days, people, builds, and what runs or is unsure."""

    day = filters.DateFromToRangeFilter()
    build = filters.NumberFilter(field_name="shares__build", distinct=True)
    running = filters.BooleanFilter(field_name="seconds", lookup_expr="isnull")

    class Meta:
        model = TimeEntry
        fields = ["day", "person", "build", "running", "is_unsure", "is_billable", "is_remake"]


@extend_schema(tags=TAGS)
class TimeEntryViewSet(ChangesMixin, VersionedMixin, ReadViewSet):
    """Hours as recorded, each with its raw time and every correction."""

    queryset = TimeEntry.objects.all()
    filterset_class = TimeEntryFilter
    search_fields: list[str] = []
    ordering_fields = ["day", "started_at"]
    http_method_names = ["get", "post", "patch", "head", "options"]

    def get_queryset(self) -> QuerySet[TimeEntry]:
        return in_full(super().get_queryset())

    def get_serializer_class(self) -> type[serializers.Serializer]:
        return ListedTimeEntryData if self.action == "list" else TimeEntryData

    @extend_schema(
        parameters=[DEVICE_TIME],
        request=LogAsked,
        responses={201: TimeEntryData},
        examples=[
            OpenApiExample(
                "an afternoon on one build",
                value={"day": "2027-03-16", "minutes": 140, "work": [{"build": 3, "stage": 41}]},
                request_only=True,
            )
        ],
    )
    def create(self, request: Request) -> Response:
        """Add hours that were worked and not clocked."""
        asked = validated_body(LogAsked, request)
        told = moment_of(request, asked.pop("told_at", None))
        entry = log_hours(
            person=request.user,
            now=timezone.now(),
            device_at=told.device_at,
            is_billable=not asked["reason"],
            **asked,
        )
        return self._shown(entry, status=201)

    @extend_schema(
        parameters=[DEVICE_TIME],
        request=LineAsked,
        responses={201: TimeEntryData},
        examples=[
            OpenApiExample(
                "a line",
                value={"line": "yesterday, 2.5 h, binding, both", "on": "2027-03-17"},
                request_only=True,
            )
        ],
    )
    @action(detail=False, methods=["post"])
    def line(self, request: Request) -> Response:
        """Add hours by one typed line; what is not understood is said."""
        asked = validated_body(LineAsked, request)
        told = moment_of(request, asked.get("told_at"))
        on: date = asked.get("on") or timezone.localtime(told.at).date()
        entry = catch_up_hours(
            person=request.user,
            line=asked["line"],
            on=on,
            now=timezone.now(),
            device_at=told.device_at,
        )
        return self._shown(entry, status=201)

    @extend_schema(request=CorrectionAsked, responses={200: TimeEntryData})
    def partial_update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Put an entry right; what it said before stays beside it."""
        with transaction.atomic():
            self._check_version(request)
            asked = validated_body(CorrectionAsked, request)
            entry = correct_hours(
                entry=self.get_object(), now=timezone.now(), user=request.user, **asked
            )
            return self._shown(entry)

    def _shown(self, entry: TimeEntry, status: int = 200) -> Response:
        row = in_full(TimeEntry.objects.all()).get(pk=entry.pk)
        data = ListedTimeEntryData(row).data
        etag = data.pop("etag")
        return Response(data, status=status, headers={"ETag": etag})
