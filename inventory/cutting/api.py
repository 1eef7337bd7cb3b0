"""Cutting plans in the API: asked for, read, booked."""

from decimal import Decimal
from typing import Any

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema, extend_schema_serializer
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.fields import LEAST, ApiLotField, DecimalField
from inventory.base.api.views import ActionView
from inventory.base.queries import stock_rules
from inventory.cutting.calc.costs import Saw
from inventory.cutting.queries import (
    CutPlan,
    WantedPart,
    cut_questions,
    lots_to_cut,
    plan_cuts,
    plan_unsealed,
    sealed_plan,
)
from inventory.cutting.services import cut_by_plan
from inventory.models import Lot, Material
from inventory.shelf.api.rows import LotSerializer

MOST_PARTS, MOST_OF_A_SIZE = 30, 500


def _size(least: Decimal = LEAST, **given: Any) -> DecimalField:
    return DecimalField(max_digits=15, decimal_places=3, min_value=least, **given)


class WantedAsked(serializers.Serializer):
    """Parts of one size in mm; without a width they are cut from a length alone."""

    material = serializers.PrimaryKeyRelatedField(
        queryset=Material.objects.all(), help_text="The material they become."
    )
    length = _size()
    width = _size(required=False, allow_null=True, default=None)
    count = serializers.IntegerField(min_value=1, max_value=MOST_OF_A_SIZE, default=1)


class SawAsked(serializers.Serializer):
    """The saw's terms in mm; what is left out is as the shop's rules have it."""

    kerf = _size(Decimal(0), required=False)
    trim = _size(Decimal(0), required=False)
    least_length = _size(Decimal(0), required=False)
    least_width = _size(Decimal(0), required=False)


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "six neck blanks",
            value={
                "material": 2,
                "parts": [{"material": 4, "length": "620", "width": "80", "count": 6}],
                "saw": {"kerf": "3", "trim": "40"},
            },
        )
    ]
)
class PlanAsked(serializers.Serializer):
    """What to cut from which material, or from one lot or piece of it."""

    material = serializers.PrimaryKeyRelatedField(queryset=Material.objects.all())
    lot = ApiLotField(required=False, allow_null=True, default=None)
    parts = WantedAsked(many=True, allow_empty=False)
    saw = SawAsked(required=False, default=dict)

    def validate_parts(self, parts: list[dict[str, Any]]) -> list[dict[str, Any]]:
        if len(parts) > MOST_PARTS:
            raise serializers.ValidationError(f"A plan has at most {MOST_PARTS} sizes of parts.")
        return parts

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        lot, material = attrs["lot"], attrs["material"]
        if lot is not None and lot.material_id != material.pk:
            raise serializers.ValidationError({"lot": f"{lot.number} is not a lot of {material}."})
        return attrs


@extend_schema_serializer(examples=[OpenApiExample("as given", value={"plan": "eJx…"})])
class SealedAsked(serializers.Serializer):
    """A plan as it was given: sealed, and good for a day."""

    plan = serializers.CharField(max_length=1_000_000)
    sure = serializers.BooleanField(
        required=False, default=False, help_text="Cut in spite of the plan's questions."
    )


class CutPartData(serializers.Serializer):
    """A part or remnant: `measure` is mm of length, or mm² on a board."""

    material = serializers.IntegerField(source="material.pk")
    name = serializers.CharField(source="material.name")
    measure = DecimalField(max_digits=18, decimal_places=3)
    quantity = DecimalField(max_digits=18, decimal_places=3)
    length_mm = _size(source="piece.length_mm", allow_null=True)
    width_mm = _size(source="piece.width_mm", allow_null=True)


class CutJobData(serializers.Serializer):
    """One lot at the saw: how much of it is taken, and what comes of that."""

    lot = serializers.CharField(source="lot.number")
    quantity = DecimalField(max_digits=18, decimal_places=3)
    usable = DecimalField(max_digits=18, decimal_places=3)
    parts = CutPartData(many=True)
    remnants = CutPartData(many=True)


class MissingData(serializers.Serializer):
    """Parts that no stock was found for."""

    name = serializers.CharField()
    count = serializers.IntegerField()


class PlanData(serializers.Serializer):
    """A cutting plan; `opened` and `least` are in `unit`, `least` the bound it is held against."""

    plan = serializers.CharField(help_text="Sealed plan: send it back to read it or cut by it.")
    unit = serializers.CharField()
    opened = DecimalField(max_digits=18, decimal_places=6)
    least = DecimalField(max_digits=18, decimal_places=6, allow_null=True)
    proven = serializers.BooleanField(help_text="No plan uses less stock.")
    jobs = CutJobData(many=True)
    questions = serializers.SerializerMethodField(
        help_text="What to think of first: drying wood, an odd thickness, short grain."
    )
    missing = MissingData(many=True)

    def get_questions(self, plan: dict[str, Any]) -> list[str]:
        return cut_questions(plan["jobs"])


class CuttingPlanView(ActionView):
    """Planning of cuts."""

    @extend_schema(request=PlanAsked, responses=PlanData)
    def post(self, request: Request) -> Response:
        """Plan how to cut parts from what is free, with the least stock opened. Books nothing."""
        asked = validated_body(PlanAsked, request)
        lots = lots_to_cut(asked["material"], asked["lot"])
        wanted = [WantedPart(**part) for part in asked["parts"]]
        plan = plan_cuts(asked["material"], lots, wanted, _saw(asked["saw"]))
        return Response(_shown(plan))


class CuttingPlanReadView(ActionView):
    """Reading of a plan that was kept."""

    @extend_schema(request=SealedAsked, responses=CutJobData(many=True))
    def post(self, request: Request) -> Response:
        """Read a plan again: what is cut from which lot."""
        jobs = plan_unsealed(validated_body(SealedAsked, request)["plan"])
        return Response(CutJobData(jobs, many=True).data)


class CuttingPlanBookView(ActionView):
    """Booking of a plan."""

    @extend_schema(request=SealedAsked, responses={201: LotSerializer(many=True)})
    def post(self, request: Request) -> Response:
        """Book a whole plan as cut, or nothing of it; the answer lists parts and remnants."""
        asked = validated_body(SealedAsked, request)
        jobs = plan_unsealed(asked["plan"])
        made = cut_by_plan(jobs=jobs, now=timezone.now(), sure=asked["sure"], user=request.user)
        fresh = Lot.objects.filter(pk__in=[lot.pk for lot in made]).order_by("pk")
        return Response(LotSerializer(fresh, many=True).data, status=201)


def _saw(asked: dict[str, Decimal]) -> Saw:
    rules = stock_rules()
    usual = {
        "kerf": rules.kerf_mm,
        "trim": rules.trim_mm,
        "least_length": rules.least_length_mm,
        "least_width": rules.least_width_mm,
    }
    return Saw(**usual | asked)


def _shown(plan: CutPlan) -> dict[str, Any]:
    missing = [{"name": name, "count": count} for name, count in plan.missing]
    figures = {name: getattr(plan, name) for name in ("unit", "opened", "least", "proven", "jobs")}
    return dict(PlanData({"plan": sealed_plan(plan.jobs), "missing": missing, **figures}).data)
