"""What is done with a build as a whole: started, edited, reserved for, done, closed out."""

from datetime import date
from typing import Any

from django.db import transaction
from django.http import FileResponse
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.etags import VersionedMixin
from inventory.base.api.examples import example
from inventory.base.api.paper import FILE_RENDERERS, JPEG, kind_asked
from inventory.base.api.views import ReadViewSet
from inventory.models import Lot, TakeFirst
from shop.builds.api.build_data import BuildData, NoteData, quantity_field
from shop.builds.queries.needs import Shortage, lines_unnamed
from shop.builds.services.edit import edit_build, release_photo
from shop.builds.services.end import cancel_build, close_build, finish_build
from shop.builds.services.enter import begin_build
from shop.builds.services.stock import reserve_for_build
from shop.calendar.queries import latest_plan
from shop.hours.queries.hours import hours_by_stage
from shop.models import Build, BuildLine, BuildTemplate


class BeginAsked(serializers.Serializer):
    """A build without a quote: for stock, a fair, or oneself."""

    template = serializers.PrimaryKeyRelatedField(queryset=BuildTemplate.objects.all())
    title = serializers.CharField(max_length=160)
    options = serializers.ListField(child=serializers.CharField(), required=False)
    promised_on = serializers.DateField(required=False, allow_null=True)
    specification = serializers.CharField(required=False, allow_blank=True, default="")
    serial = serializers.CharField(required=False, allow_blank=True, default="", max_length=20)


class ChangeAsked(serializers.Serializer):
    """What to change; the rest stays. An empty batch name takes the build out of its batch.

    A promised date is moved at `queue/promise/`, with how the client was told; here another one is
    refused.
    """

    title = serializers.CharField(required=False, max_length=160)
    serial = serializers.CharField(required=False, max_length=20)
    promised_on = serializers.DateField(required=False, allow_null=True)
    specification = serializers.CharField(required=False, allow_blank=True)
    is_set_aside = serializers.BooleanField(required=False)
    batch_name = serializers.CharField(required=False, allow_blank=True, max_length=80)


class ChosenAsked(serializers.Serializer):
    """The pieces chosen for one line, by their numbers."""

    line = serializers.PrimaryKeyRelatedField(queryset=BuildLine.objects.all())
    lots = serializers.SlugRelatedField(slug_field="number", queryset=Lot.objects.all(), many=True)


@example("a set chosen by its number", chosen=[{"line": 14, "lots": ["T-0412"]}])
class PutAsideAsked(serializers.Serializer):
    """Which pieces; where none are named the best are taken, by the shop's own preference."""

    chosen = ChosenAsked(many=True, required=False, default=list)
    first = serializers.ChoiceField(choices=TakeFirst.choices, required=False)


class ShortageData(serializers.Serializer):
    """What could not be reserved, in base units, and when it can be here."""

    line = serializers.IntegerField(source="line.pk")
    name = serializers.CharField(source="line.name")
    material = serializers.IntegerField(source="line.material_id")
    missing = quantity_field()
    free = quantity_field()
    supplier_name = serializers.CharField()
    lead_time_days = serializers.IntegerField(allow_null=True)
    here_by = serializers.DateField(allow_null=True)


class ReservedData(serializers.Serializer):
    """What is still short once everything available is reserved; and lines that can't be."""

    shortages = ShortageData(many=True)
    lines_unnamed = serializers.IntegerField(
        help_text="How many lines of the build name no material of the shop yet."
    )


class LatestStepData(serializers.Serializer):
    """A stage on the calendar; the next one may begin on `free`."""

    name = serializers.CharField()
    minutes = serializers.IntegerField(help_text="Hours still to work.")
    starts = serializers.DateField()
    finishes = serializers.DateField()
    free = serializers.DateField()


class LatestPlanData(serializers.Serializer):
    """Latest start days; null and empty where no date is promised or nothing is left."""

    starts = serializers.DateField(allow_null=True)
    steps = LatestStepData(many=True)


@example("a change of mind", why="The client is moving abroad.")
class CancelAsked(serializers.Serializer):
    """Why a build is cancelled."""

    why = serializers.CharField(required=False, allow_blank=True, default="")


@example("to the client", to_client=True)
class ReleaseAsked(serializers.Serializer):
    """Whether the client sees it."""

    to_client = serializers.BooleanField()


class BuildActs(VersionedMixin, ReadViewSet):
    """The part of the builds' end point that changes a build as a whole."""

    @extend_schema(
        request=BeginAsked,
        responses={201: BuildData},
        examples=[
            OpenApiExample(
                "for the show",
                value={"template": 1, "title": "Carved bouzouki for the show"},
                request_only=True,
            )
        ],
    )
    def create(self, request: Request) -> Response:
        """Begin a build straight from its template, without a quote."""
        now = timezone.now()
        made_on: date = timezone.localtime(now).date()
        build = begin_build(made_on=made_on, now=now, **validated_body(BeginAsked, request))
        return self._answer(build, status=201)

    @extend_schema(request=ChangeAsked, responses={200: BuildData})
    def partial_update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Edit the title, the specification and the batch of a build."""
        with transaction.atomic():
            self._check_version(request)
            asked = validated_body(ChangeAsked, request)
            batch_name = asked.pop("batch_name", None)
            build = edit_build(build=self.get_object(), changes=asked, batch_name=batch_name)
            return self._answer(build)

    @extend_schema(request=PutAsideAsked, responses=ReservedData)
    @action(detail=True, methods=["post"], url_path="put-aside")
    def reserve_for_build(self, request: Request, pk: str) -> Response:
        """Reserve what the build still needs; answer what is short."""
        build, asked = self.get_object(), validated_body(PutAsideAsked, request)
        chosen = {
            one["line"].position: one["lots"]
            for one in asked["chosen"]
            if one["line"].build_id == build.pk
        }
        short: tuple[Shortage, ...] = reserve_for_build(
            build=build, chosen=chosen, first=asked.get("first"), now=timezone.now()
        )
        reserved = {"shortages": short, "lines_unnamed": lines_unnamed(build)}
        return Response(ReservedData(reserved).data)

    @extend_schema(responses=LatestPlanData)
    @action(detail=True, methods=["get"], url_path="latest-start")
    def latest_start(self, request: Request, pk: str) -> Response:
        """Count back from the promised date: the latest day to start each stage."""
        build = self.get_object()
        plan = latest_plan(build, hours_by_stage(build))
        shown = {"starts": plan and plan.starts, "steps": plan.steps if plan else ()}
        return Response(LatestPlanData(shown).data)

    @extend_schema(request=None, responses=BuildData)
    @action(detail=True, methods=["post"])
    def finish(self, request: Request, pk: str) -> Response:
        """Mark the build done; what was reserved and not drawn becomes available."""
        return self._answer(finish_build(build=self.get_object(), now=timezone.now()))

    @extend_schema(request=None, responses=BuildData)
    @action(detail=True, methods=["post"])
    def close(self, request: Request, pk: str) -> Response:
        """Close a finished build; from then on it counts in estimates."""
        return self._answer(close_build(build=self.get_object(), now=timezone.now()))

    @extend_schema(request=CancelAsked, responses=BuildData)
    @action(detail=True, methods=["post"])
    def cancel(self, request: Request, pk: str) -> Response:
        """Cancel a build and release what was reserved for it."""
        why = validated_body(CancelAsked, request)["why"]
        build = cancel_build(
            build=self.get_object(), why=why, now=timezone.now(), user=request.user
        )
        return self._answer(build)

    @extend_schema(responses=JPEG)
    @action(detail=True, url_path=r"notes/(?P<note>\d+)/photo", renderer_classes=FILE_RENDERERS)
    def photo(self, request: Request, pk: str, note: str) -> FileResponse:
        """Send the photo of a note."""
        row = get_object_or_404(self.get_object().notes.exclude(photo=""), pk=note)
        return FileResponse(row.photo.open(), content_type=kind_asked(request, "image/jpeg"))

    @extend_schema(responses=JPEG)
    @action(
        detail=True,
        url_path=r"notes/(?P<note>\d+)/photo/small",
        url_name="small-photo",
        renderer_classes=FILE_RENDERERS,
    )
    def small_photo(self, request: Request, pk: str, note: str) -> FileResponse:
        """Send the photo of a note as small as a list needs it."""
        row = get_object_or_404(self.get_object().notes.exclude(photo=""), pk=note)
        return FileResponse(
            (row.small or row.photo).open(), content_type=kind_asked(request, "image/jpeg")
        )

    @extend_schema(request=ReleaseAsked, responses=NoteData)
    @action(detail=True, methods=["post"], url_path=r"notes/(?P<note>\d+)/release")
    def release(self, request: Request, pk: str, note: str) -> Response:
        """Show the photo of a note on the client's page, or no more."""
        row = get_object_or_404(self.get_object().notes, pk=note)
        release_photo(note=row, **validated_body(ReleaseAsked, request))
        return Response(NoteData(row).data)

    def _answer(self, build: Build, status: int = 200) -> Response:
        self.kwargs["pk"] = build.pk
        shown = self.get_serializer(self.get_object()).data
        return Response(shown, status=status, headers={"ETag": self._current_etag()})
