"""What to buy, in the API."""

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.fields import DecimalField
from inventory.base.api.views import ActionView
from inventory.purchasing.queries.buying import what_to_buy


class WantedSerializer(serializers.Serializer):
    holder = serializers.CharField()
    holder_name = serializers.CharField()
    quantity = DecimalField(max_digits=18, decimal_places=3)
    wanted_by = serializers.DateField(allow_null=True)


class BuySerializer(serializers.Serializer):
    """A material to buy; quantities in base units."""

    material = serializers.IntegerField(source="material.pk")
    name = serializers.CharField(source="material.name")
    supplier = serializers.IntegerField(source="material.supplier_id", allow_null=True)
    wanted = WantedSerializer(many=True)
    on_order = DecimalField(max_digits=18, decimal_places=3)
    short = DecimalField(max_digits=18, decimal_places=3)
    quantity = DecimalField(max_digits=18, decimal_places=3)
    order_by = serializers.DateField(allow_null=True)


class ToBuyView(ActionView):
    """What is short of plans and levels."""

    @extend_schema(responses=BuySerializer(many=True))
    def get(self, request: Request) -> Response:
        return Response(BuySerializer(what_to_buy(), many=True).data)
