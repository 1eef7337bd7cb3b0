"""Builds in the API: the job card of each, what is drawn, lost and noted for it, its stages."""

from decimal import Decimal
from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from django_filters import rest_framework as filters
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.changed import ChangesMixin
from inventory.base.api.device_time import DEVICE_TIME, moment_of
from inventory.base.api.examples import example
from inventory.base.api.paper import PAPER_RENDERERS, PDF
from inventory.base.api.parsers import PlainJSONParser
from inventory.base.api.views import ReadViewSet
from inventory.models import Workshop
from shop.builds.api import build_data as data
from shop.builds.api.acts import BuildActs
from shop.builds.documents import print_job_card
from shop.builds.queries.job_card import agreed_changes_of, job_card_of
from shop.builds.queries.needs import needs_of
from shop.builds.queries.orders import ordered_by, orders_of
from shop.builds.services.edit import add_build_note
from shop.builds.services.stock import draw_for_build, return_from_build, scrap_for_build
from shop.models import OPEN_STATES, Build, BuildDraw, BuildStage
from shop.stages.services import finish_stage, reopen_stage, start_stage

DRAW_EXAMPLE = OpenApiExample(
    "the set reserved for line 14",
    value={"line": 14, "lot": "T-0412", "quantity": "1", "happened_at": "2027-03-16T11:40:00Z"},
    request_only=True,
)


class BuildFilter(filters.FilterSet):  # type: ignore[misc]
    """Open builds, those of one state, template or batch, or of one order or client."""

    open = filters.BooleanFilter(method="only_open")
    quote = filters.NumberFilter(method="only_ordered")
    commission = filters.NumberFilter(method="only_ordered")
    client = filters.NumberFilter(method="only_ordered")

    class Meta:
        model = Build
        fields = ["open", "state", "template", "batch", "quote", "commission", "client"]

    def only_ordered(self, rows: QuerySet[Build], name: str, value: Decimal) -> QuerySet[Build]:
        """Leave the builds of an order, its quote or its client."""
        return rows.filter(pk__in=ordered_by(**{name: int(value)}))

    def only_open(self, rows: QuerySet[Build], name: str, value: bool) -> QuerySet[Build]:
        wanted = {"state__in": OPEN_STATES}
        return rows.filter(**wanted) if value else rows.exclude(**wanted)


@extend_schema(tags=["builds"])
class BuildViewSet(ChangesMixin, BuildActs):
    """Builds with their stages and lines, the newest first."""

    queryset = Build.objects.order_by("-pk")
    serializer_class = data.BuildData
    filterset_class = BuildFilter
    search_fields = ["serial", "title"]
    ordering_fields = ["promised_on", "made_on", "serial"]
    http_method_names = ["get", "post", "patch", "head", "options"]

    def get_queryset(self) -> QuerySet[Build]:
        return (
            super()
            .get_queryset()
            .select_related("batch")
            .prefetch_related("stages", "lines__material")
        )

    def get_serializer(self, *args: Any, **kwargs: Any) -> serializers.BaseSerializer:
        if args:
            builds = args[0] if kwargs.get("many") else [args[0]]
            needs = {need.line.pk: need for need in needs_of(builds)}
            kwargs["context"] = {
                **self.get_serializer_context(),
                "needs": needs,
                "changes": agreed_changes_of(builds, timezone.localdate()),
                "orders": orders_of(builds),
            }
        return super().get_serializer(*args, **kwargs)

    @extend_schema(responses=PDF)
    @action(
        detail=True,
        methods=["get"],
        url_path="job-card",
        renderer_classes=PAPER_RENDERERS,
    )
    def job_card(self, request: Request, pk: str) -> Response:
        """Return the card that hangs at the bench (PDF)."""
        on = timezone.localdate()
        card, shop = job_card_of(self.get_object(), on), Workshop.objects.get()
        printed = print_job_card(card, shop, on)
        return Response(printed, content_type="application/pdf")

    @extend_schema(methods=["get"], responses=data.DrawData(many=True))
    @extend_schema(
        methods=["post"],
        parameters=[DEVICE_TIME],
        request=data.DrawAsked,
        responses={201: data.DrawData(many=True)},
        examples=[DRAW_EXAMPLE],
    )
    @action(detail=True, methods=["get", "post"], pagination_class=None, filterset_class=None)
    def draws(self, request: Request, pk: str) -> Response:
        """Show what was drawn and scrapped for the build, or draw more."""
        build = self.get_object()
        if request.method == "GET":
            return drawn(build.draws.all())
        asked = self._asked(data.DrawAsked, build)
        return drawn(draw_for_build(**asked), status=201)

    @extend_schema(
        parameters=[DEVICE_TIME],
        request=data.ScrapAsked,
        responses={201: data.DrawData(many=True)},
    )
    @action(detail=True, methods=["post"])
    def scraps(self, request: Request, pk: str) -> Response:
        """Record what was lost for the build's account."""
        asked = self._asked(data.ScrapAsked, self.get_object())
        return drawn(scrap_for_build(**asked), status=201)

    @extend_schema(methods=["get"], responses=data.NoteData(many=True))
    @extend_schema(
        methods=["post"],
        parameters=[DEVICE_TIME],
        request={"application/json": data.NoteAsked, "multipart/form-data": data.NoteAsked},
        responses={201: data.NoteData},
    )
    @action(
        detail=True,
        methods=["get", "post"],
        pagination_class=None,
        filterset_class=None,
        parser_classes=[PlainJSONParser, MultiPartParser],
    )
    def notes(self, request: Request, pk: str) -> Response:
        """Show the notes and photos of the build, or add one."""
        build = self.get_object()
        if request.method == "GET":
            return Response(self._note(build.notes.all(), many=True))
        asked = validated_body(data.NoteAsked, request)
        at = moment_of(request, asked.pop("happened_at", None)).at
        note = add_build_note(build=build, now=at, user=request.user, **asked)
        return Response(self._note(note), status=201)

    def _note(self, note: Any, **more: Any) -> Any:
        context = {"request": self.request}
        return data.NoteData(note, context=context, **more).data

    def _asked(self, kind: type[serializers.Serializer], build: Build) -> dict[str, Any]:
        asked = kind(data=self.request.data, context={"build": build})
        asked.is_valid(raise_exception=True)
        plain = dict(asked.validated_data)
        plain["happened_at"] = moment_of(self.request, plain.get("happened_at")).at
        return plain | {"build": build, "now": timezone.now(), "user": self.request.user}


@extend_schema(tags=["builds"])
class BuildDrawViewSet(ChangesMixin, ReadViewSet):
    """What was drawn and scrapped for builds."""

    queryset = BuildDraw.objects.select_related("entry__lot").order_by("-pk")
    serializer_class = data.DrawData
    filterset_fields = ["build", "line", "stage"]

    @extend_schema(
        parameters=[DEVICE_TIME], request=data.ReturnAsked, responses={201: data.BuildEntryData}
    )
    @action(detail=True, methods=["post"], url_path="return")
    def bring_back(self, request: Request, pk: str) -> Response:
        """Return some of a draw, at the cost it was drawn at."""
        asked = validated_body(data.ReturnAsked, request)
        entry = return_from_build(
            draw=self.get_object(),
            quantity=asked["quantity"],
            happened_at=moment_of(request, asked.get("happened_at")).at,
            now=timezone.now(),
            user=request.user,
        )
        return Response(data.BuildEntryData(entry).data, status=201)


@example("at twenty to twelve", at="2027-03-16T11:40:00Z")
class StageTapped(serializers.Serializer):
    """When a stage was started or finished."""

    at = serializers.DateTimeField(required=False, allow_null=True)


@extend_schema(tags=["builds"])
class StageViewSet(ReadViewSet):
    """Stages of builds, to be ticked as on the job card."""

    queryset = BuildStage.objects.all()
    serializer_class = data.BuildStageData
    filterset_fields = ["build"]

    @extend_schema(parameters=[DEVICE_TIME], request=StageTapped, responses=data.BuildStageData)
    @action(detail=True, methods=["post"])
    def start(self, request: Request, pk: str) -> Response:
        """Stamp the start of the stage, unless it has one."""
        return Response(
            data.BuildStageData(start_stage(stage=self.get_object(), now=self._at())).data
        )

    @extend_schema(parameters=[DEVICE_TIME], request=StageTapped, responses=data.BuildStageData)
    @action(detail=True, methods=["post"])
    def finish(self, request: Request, pk: str) -> Response:
        """Tick the stage off."""
        return Response(
            data.BuildStageData(finish_stage(stage=self.get_object(), now=self._at())).data
        )

    @extend_schema(request=None, responses=data.BuildStageData)
    @action(detail=True, methods=["post"])
    def reopen(self, request: Request, pk: str) -> Response:
        """Take the tick back."""
        return Response(data.BuildStageData(reopen_stage(stage=self.get_object())).data)

    def _at(self) -> Any:
        return moment_of(self.request, validated_body(StageTapped, self.request).get("at")).at


def drawn(draws: Any, status: int = 200) -> Response:
    """Return the data of `draws`, each with its stock entry."""
    rows = draws.select_related("entry__lot") if isinstance(draws, QuerySet) else draws
    return Response(data.DrawData(rows, many=True).data, status=status)
