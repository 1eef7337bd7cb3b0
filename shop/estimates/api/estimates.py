"""Estimates in the API: hours of the next build, their track record and their basis."""

from typing import Any

from django.http import Http404
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import generics
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.etags import VersionedMixin
from inventory.base.api.views import ActionView, EditViewSet
from inventory.base.roles import OWNER_ONLY
from shop.estimates.api import estimate_data as data
from shop.estimates.calc.quoting import quote_hours
from shop.estimates.queries.estimates import STEP, backtest_from
from shop.estimates.queries.learning import learning_of
from shop.estimates.queries.past_builds import PastBuilds, record_of
from shop.estimates.queries.sheet import EstimateSheet, estimate_sheet
from shop.estimates.services import leave_out_of_estimates
from shop.hours.queries.year import year_record
from shop.models import Build, BuildTemplate, EstimateSettings, RelatedTemplate

TAGS = ["hours"]
LATEST = 100
"""Past builds in one answer, unless every one is asked for."""
STAGE_EXAMPLE = {
    "stage": 41,
    "name": "Carve neck",
    "hours": {
        "median": 3.05,
        "mean": 3.21,
        "enough_80": 3.98,
        "enough_90": 4.6,
        "range_50": [2.45, 3.8],
        "range_80": [2.02, 4.6],
        "range_90": [1.76, 5.29],
    },
    "quoted": "3.6",
    "whose": "6 builds",
    "template": {"low": 2, "likely": 3, "high": 5},
    "template_weight": 2,
    "past_weight": 4.04,
    "chance": 1.0,
    "effects": [],
    "past": [
        {
            "build": 12,
            "serial": "2024-03",
            "hours": 3.25,
            "weight": 0.81,
            "is_related": False,
            "build_stages": [301],
            "set_aside": "",
        }
    ],
    "past_left_out": 0,
}
ESTIMATE_EXAMPLE = OpenApiExample(
    "one of several stages, at the safe level (80 %)",
    value={
        "template": 1,
        "number": 10,
        "batch": 1,
        "options": ["Finger rest"],
        "total": STAGE_EXAMPLE["hours"],
        "total_quoted": "3.6",
        "past_builds": 6,
        "few": False,
        "whose": "From 6 past builds; the template's own figures count as 2 builds.",
        "common_share": 0.24,
        "stages": [STAGE_EXAMPLE],
        "not_estimated": [],
        "builds": [],
        "builds_left_out": 0,
    },
    response_only=True,
)


@extend_schema(tags=TAGS)
class EstimateView(ActionView):
    """The hours of the next build of a template."""

    @extend_schema(
        parameters=[data.EstimateAsked], responses=data.EstimateData, examples=[ESTIMATE_EXAMPLE]
    )
    def get(self, request: Request, pk: int) -> Response:
        """Estimate the next build from the template's figures and past builds."""
        asked = data.EstimateAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        wanted = asked.validated_data
        sheet = estimate_sheet(
            _record(pk),
            on=wanted.get("on") or timezone.localdate(),
            batch=wanted["batch"],
            options=() if wanted["plain"] else wanted.get("option") or None,
            every=wanted["every"],
        )
        return Response(_estimate(sheet, wanted.get("level", ""), every=wanted["every"]))


@extend_schema(tags=TAGS)
class BacktestView(ActionView):
    """How past estimates of a template came out."""

    @extend_schema(responses=data.BacktestData)
    def get(self, request: Request, pk: int) -> Response:
        """Estimate every past build from those before it, and score what was said."""
        record = _record(pk)
        found = backtest_from(record)
        names = {f"{stage.pk}": stage.name for stage in record.stages}
        answer = {
            "verdict": found.verdict,
            "worse_than_mean": found.worse_than_mean,
            "builds": [int(key) for key in found.builds],
            "total": _score(found.total, "Whole builds"),
            "all_stages": _score(found.stages, "All stages"),
            "stages": [_score(one, names[one.key]) for one in found.by_stage],
            "calibration": found.calibration,
        }
        return Response(data.BacktestData(answer).data)


@extend_schema(tags=TAGS)
class LearningView(ActionView):
    """Hours by number in the pattern."""

    @extend_schema(
        parameters=[
            OpenApiParameter("stage", int, description="This stage only."),
            OpenApiParameter("every", bool, description="Every build, not the latest only."),
        ],
        responses=data.LearningData,
    )
    def get(self, request: Request, pk: int) -> Response:
        """Return hours by number in the pattern and the learning curve through them."""
        record = _record(pk)
        asked = request.query_params.get("stage")
        stage = next((one for one in record.stages if f"{one.pk}" == asked), None)
        if asked and not stage:
            raise Http404
        learning = learning_of(record, stage)
        every = request.query_params.get("every") == "true"
        shown = learning.builds if every else learning.builds[-LATEST:]
        answer = {
            "builds": shown,
            "builds_left_out": len(learning.builds) - len(shown),
            "curve": learning.curve,
            "words": learning.words,
        }
        return Response(data.LearningData(answer).data)


@extend_schema(tags=TAGS)
class SetAsideView(ActionView):
    """Past builds that stay in the list but are left out of estimates."""

    @extend_schema(
        request=data.SetAsideAsked,
        responses=data.SetAsideData,
        examples=[
            OpenApiExample(
                "the one with the cracked back",
                value={"is_set_aside": True, "stages": [301]},
                request_only=True,
            )
        ],
    )
    def post(self, request: Request, pk: int) -> Response:
        """Set a build or some of its stages aside, or count them again."""
        build = get_object_or_404(Build, pk=pk)
        build = leave_out_of_estimates(build=build, **validated_body(data.SetAsideAsked, request))
        aside = build.stages.filter(is_set_aside=True).values_list("pk", flat=True)
        answer = {
            "build": build.pk,
            "is_set_aside": build.is_set_aside,
            "stages_set_aside": list(aside),
        }
        return Response(data.SetAsideData(answer).data)


@extend_schema(tags=TAGS)
class HoursYearView(ActionView):
    """Where the hours of a year went."""

    @extend_schema(responses=data.YearData)
    def get(self, request: Request, year: int) -> Response:
        """Return a year's time by what it went into, by stage and by month."""
        if not 0 < year < 9999:
            raise Http404
        return Response(data.YearData(year_record(year)).data)


@extend_schema(tags=TAGS)
class EstimateSettingsView(VersionedMixin, generics.RetrieveUpdateAPIView):
    """What every estimate takes for granted: low, likely and high, and how builds are weighed."""

    serializer_class = data.EstimateSettingsData
    http_method_names = ["get", "patch", "head", "options"]
    write_roles = OWNER_ONLY

    def get_object(self) -> EstimateSettings:
        return EstimateSettings.objects.first() or EstimateSettings(pk=1)


@extend_schema(tags=TAGS)
class RelatedTemplateViewSet(EditViewSet):
    """Patterns whose past builds count in the estimates of another."""

    queryset = RelatedTemplate.objects.order_by("template", "pk")
    serializer_class = data.RelatedTemplateData
    filterset_fields = ["template", "related"]


def _record(pk: int) -> PastBuilds:
    return record_of(get_object_or_404(BuildTemplate, pk=pk))


def _estimate(sheet: EstimateSheet, level: str, *, every: bool) -> dict[str, Any]:
    """Return a sheet as the API shows it, with hours for a quote at `level` if one is named.

    Without `every` the past builds that count most stand behind a stage, and the latest in all.
    """
    quoted = quote_hours(sheet.estimate, level, STEP) if level else {}
    stages: list[Any] = []
    for row in sheet.stages:
        row_data = {name: getattr(row, name) for name in row.__dataclass_fields__}
        quoted_hours = quoted.get(f"{row.stage.pk}")
        stages.append(
            row_data | {"quoted": quoted_hours, "shown": row.behind, "past_left_out": row.left_out}
        )
    builds = sheet.builds if every else sheet.builds[:LATEST]
    fields = {name: getattr(sheet, name) for name in ("record", "batch", "estimate")}
    answer = data.EstimateData(
        fields
        | {
            "builds": builds,
            "builds_left_out": len(sheet.builds) - len(builds),
            "number": sheet.record.made + 1,
            "options": sorted(sheet.options),
            "stages": stages,
            "total_quoted": sum(quoted.values()) if level else None,
            "not_estimated": [stage.name for stage in sheet.record.without_hours],
        }
    )
    return dict(answer.data)


def _score(score: Any, name: str) -> dict[str, Any]:
    within = {f"within_{middle}": score.within.get(middle) for middle in (50, 80, 90)}
    losses = {"loss": score.loss, "middle_loss": score.middle_loss}
    return {"name": name, "count": score.count} | within | losses
