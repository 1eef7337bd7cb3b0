"""Cancelling in the API: what it comes to, asked before it is done."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.examples import example
from inventory.base.api.fields import DecimalField
from inventory.base.api.views import ActionView
from quotes.cancelling.queries import cancel_page
from quotes.models import Commission
from shop.models import BuildDraw

MONEY: dict[str, Any] = {"max_digits": 18, "decimal_places": 3}


class SettlementPartData(serializers.Serializer):
    """A part of the work so far, in the quote's currency."""

    name = serializers.CharField()
    amount = DecimalField(**MONEY)
    how = serializers.CharField()


class SettlementData(serializers.Serializer):
    """A figure to talk from and not a ruling: gross amounts in the quote's currency."""

    work = DecimalField(source="work.amount", **MONEY)
    parts = SettlementPartData(source="work.parts", many=True)
    deposit = DecimalField(**MONEY)
    agreed = DecimalField(**MONEY)
    invoiced = DecimalField(**MONEY)
    received = DecimalField(**MONEY)
    proposed = DecimalField(**MONEY)
    because = serializers.CharField()
    to_pay = DecimalField(**MONEY)


class DrawnData(serializers.Serializer):
    """A draw that is still out, in base units; `id` is what to name as returned."""

    id = serializers.IntegerField(source="draw.pk")
    material = serializers.CharField(source="draw.entry.material.name")
    quantity = DecimalField(**MONEY)
    cost = DecimalField(**MONEY)
    is_scrap = serializers.BooleanField()
    goes_back = serializers.BooleanField()


class CancellingData(serializers.Serializer):
    """What cancelling a commission comes to; nothing to settle before acceptance."""

    hours = DecimalField(max_digits=9, decimal_places=2)
    drawn = DrawnData(many=True)
    settlement = SettlementData(allow_null=True)


@example("moved away", why="Moved away.", settlement="1130.40", returned=[])
class CancelOrderAsked(serializers.Serializer):
    """Why, what the client pays in all (gross; left out, invoices stay), what goes back."""

    why = serializers.CharField(required=False, allow_blank=True, max_length=200)
    settlement = DecimalField(max_digits=12, decimal_places=3, required=False)
    returned = serializers.PrimaryKeyRelatedField(
        queryset=BuildDraw.objects.select_related("entry__material"), many=True, required=False
    )


@extend_schema(tags=["commissions"])
class CancellingView(ActionView):
    """What cancelling a commission comes to, before anything is done."""

    @extend_schema(
        responses=CancellingData,
        parameters=[
            OpenApiParameter("returned", int, many=True, description="Draws that would go back.")
        ],
    )
    def get(self, request: Request, pk: int) -> Response:
        """Propose a settlement, with its parts."""
        commission = get_object_or_404(Commission, pk=pk)
        back = [int(key) for key in request.query_params.getlist("returned") if key.isdecimal()]
        return Response(CancellingData(cancel_page(commission, timezone.localdate(), back)).data)
