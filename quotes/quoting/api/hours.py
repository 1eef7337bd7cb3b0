"""Hours of a draft in the API: as past builds have them at each level, and taken over."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.fields import DecimalField
from inventory.base.api.views import ActionView
from quotes.models import Quote
from quotes.pricing.queries.pricing import QUOTE_ROWS
from quotes.quoting.api.quote_data import QuoteData
from quotes.quoting.queries.quote_hours import hours_choice
from quotes.quoting.services.hours import take_hours
from shop.estimates.calc.quoting import LEVELS

MOST_AT_ONCE = 12


class LevelData(serializers.Serializer):
    """Hours at one level; `more` is against what the draft has now."""

    level = serializers.ChoiceField(source="key", choices=list(LEVELS.items()))
    promise = serializers.CharField()
    hours = DecimalField(max_digits=8, decimal_places=1)
    more = DecimalField(max_digits=8, decimal_places=2)


class StageChoiceData(serializers.Serializer):
    """A stage of a draft, its hours and their basis, and its own hours at each level."""

    id = serializers.IntegerField(source="row.pk")
    name = serializers.CharField(source="row.name")
    is_on = serializers.BooleanField()
    hours = DecimalField(source="row.hours", max_digits=8, decimal_places=2)
    basis = serializers.CharField(source="row.basis")
    levels = LevelData(many=True)


class HoursChoiceData(serializers.Serializer):
    """The hours of a draft beside its estimates; `refusal` says why there are none."""

    hours = DecimalField(max_digits=8, decimal_places=2)
    levels = LevelData(many=True)
    stages = StageChoiceData(many=True)
    whose = serializers.CharField()
    refusal = serializers.CharField()


class StageLevelAsked(serializers.Serializer):
    """One stage of the draft and the level that it is to have by itself."""

    id = serializers.IntegerField()
    level = serializers.ChoiceField(choices=list(LEVELS.items()))


class TakeHoursAsked(serializers.Serializer):
    """A level for all stages, which then share the total's hours, or for single ones, or both."""

    level = serializers.ChoiceField(choices=list(LEVELS.items()), required=False)
    stages = StageLevelAsked(many=True, required=False)
    batch = serializers.IntegerField(min_value=1, max_value=MOST_AT_ONCE, default=1)
    by_hand = serializers.BooleanField(
        default=False, help_text="Include stages whose hours were set by hand."
    )


class HowManyAsked(serializers.Serializer):
    """How many builds are made side by side."""

    batch = serializers.IntegerField(min_value=1, max_value=MOST_AT_ONCE, default=1)


@extend_schema(tags=["quotes"])
class QuoteHoursView(ActionView):
    """The hours of a draft, from past builds."""

    @extend_schema(
        parameters=[OpenApiParameter("batch", int, description="Builds made together.")],
        responses=HoursChoiceData,
    )
    def get(self, request: Request, pk: int) -> Response:
        """Return the hours of a draft as they are and as past builds would have them."""
        quote = get_object_or_404(Quote.objects.select_related("template"), pk=pk)
        asked = HowManyAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        choice = hours_choice(quote, on=timezone.localdate(), **asked.validated_data)
        return Response(HoursChoiceData(choice).data)

    @extend_schema(
        request=TakeHoursAsked,
        responses=QuoteData,
        examples=[
            OpenApiExample(
                "safe (80 %), but 90 % for the finish",
                value={"level": "80", "stages": [{"id": 41, "level": "90"}]},
                request_only=True,
            )
        ],
    )
    def post(self, request: Request, pk: int) -> Response:
        """Take the hours of a draft from past builds; each stage remembers which."""
        quote = get_object_or_404(Quote, pk=pk)
        asked: dict[str, Any] = validated_body(TakeHoursAsked, request)
        single = {one["id"]: one["level"] for one in asked.pop("stages", [])}
        take_hours(quote=quote, on=timezone.localdate(), stages=single, **asked)
        rows = Quote.objects.select_related("commission__client").prefetch_related(*QUOTE_ROWS)
        return Response(QuoteData(rows.get(pk=pk)).data)
