"""How time entries look in the API."""

from typing import Any

from rest_framework import serializers

from inventory.base.api.etags import etag_of
from inventory.base.api.views import Serializer
from shop.hours.bookkeeping import EQUAL, WAYS
from shop.hours.calc.durations import minutes_of
from shop.hours.queries.work import Work
from shop.models import Build, BuildStage, TimeCorrection, TimeEntry, TimeShare


class ShareData(serializers.ModelSerializer):
    """The part of an entry that falls on one build and stage."""

    serial = serializers.CharField(source="build.serial", read_only=True)
    stage_name = serializers.CharField(
        source="stage.name", default=None, allow_null=True, read_only=True
    )
    minutes = serializers.SerializerMethodField()

    class Meta:
        model = TimeShare
        fields = ["build", "serial", "stage", "stage_name", "seconds", "minutes"]

    def get_minutes(self, share: TimeShare) -> str:
        return plain_minutes(share.seconds) or "0"


class CorrectionData(serializers.ModelSerializer):
    """One change to an entry: what it said before and after, and why."""

    class Meta:
        model = TimeCorrection
        fields = ["before", "after", "why", "made_at", "made_by"]


class TimeEntryData(Serializer):
    """A stretch of work; `minutes` is empty while it runs, `raw_minutes` is as first recorded."""

    person_name = serializers.SerializerMethodField()
    minutes = serializers.SerializerMethodField()
    raw_minutes = serializers.SerializerMethodField()
    is_running = serializers.BooleanField(read_only=True)
    shares = ShareData(many=True, read_only=True)
    corrections = CorrectionData(many=True, read_only=True)

    class Meta:
        model = TimeEntry
        fields = [
            "id",
            "person",
            "person_name",
            "source",
            "day",
            "started_at",
            "stopped_at",
            "seconds",
            "minutes",
            "raw_started_at",
            "raw_stopped_at",
            "raw_minutes",
            "is_running",
            "is_billable",
            "is_unsure",
            "is_remake",
            "reason",
            "note",
            "split_by",
            "within",
            "recorded_at",
            "device_at",
            "device_stopped_at",
            "skew_seconds",
            "shares",
            "corrections",
        ]
        read_only_fields = fields

    def get_person_name(self, entry: TimeEntry) -> str:
        return str(entry.person.get_full_name() or entry.person.get_username())

    def get_minutes(self, entry: TimeEntry) -> str | None:
        return plain_minutes(entry.seconds)

    def get_raw_minutes(self, entry: TimeEntry) -> str | None:
        return plain_minutes(entry.raw_seconds)


class ListedTimeEntryData(TimeEntryData):
    """A time entry in a list, with the version to send as If-Match when changing it."""

    etag = serializers.CharField(read_only=True, help_text="As the ETag of the entry itself.")

    class Meta(TimeEntryData.Meta):
        fields = [*TimeEntryData.Meta.fields, "etag"]
        read_only_fields = fields

    def to_representation(self, entry: TimeEntry) -> dict[str, Any]:
        entry.etag = ""  # type: ignore[attr-defined]
        shown = super().to_representation(entry)
        del shown["etag"]
        return shown | {"etag": etag_of(shown)}


class WorkAsked(serializers.Serializer):
    """What is worked on: a build and a stage of it; `seconds` only where split by hand."""

    build = serializers.PrimaryKeyRelatedField(queryset=Build.objects.all())
    stage = serializers.PrimaryKeyRelatedField(
        queryset=BuildStage.objects.all(), required=False, allow_null=True
    )
    seconds = serializers.IntegerField(required=False, min_value=0)

    def to_internal_value(self, data: Any) -> Work:
        plain = super().to_internal_value(data)
        return Work(build=plain["build"], stage=plain.get("stage"), seconds=plain.get("seconds"))


class EntryAsked(serializers.Serializer):
    """What time was spent on: builds, or the reason it is not billable."""

    work = WorkAsked(many=True, required=False)
    split_by = serializers.ChoiceField(choices=list(WAYS.items()), default=EQUAL)
    reason = serializers.CharField(
        required=False,
        default="",
        allow_blank=True,
        max_length=80,
        help_text="Reason it is not billable; empty if billable.",
    )
    is_remake = serializers.BooleanField(
        required=False, help_text="Rework: something made a second time."
    )
    note = serializers.CharField(required=False, default="", allow_blank=True, max_length=300)


def plain_minutes(seconds: int | None) -> str | None:
    """Write seconds as minutes without trailing zeros: 2250 is `37.5`."""
    return None if seconds is None else f"{minutes_of(seconds).normalize():f}"
