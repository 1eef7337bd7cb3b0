"""Where a lot went, and what a build contains, in the API."""

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.exceptions import NotFound
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.fields import DecimalField
from inventory.base.api.views import ActionView
from inventory.shelf.queries.traces import contents_of


class WentSerializer(serializers.Serializer):
    holder = serializers.CharField()
    holder_name = serializers.CharField()
    lot = serializers.CharField(source="lot.number")
    quantity = DecimalField(max_digits=18, decimal_places=3)


class ContainedSerializer(serializers.Serializer):
    lot = serializers.CharField(source="lot.number")
    material = serializers.CharField(source="lot.material.name")
    quantity = DecimalField(max_digits=18, decimal_places=3, allow_null=True)
    depth = serializers.IntegerField()


class ContentsView(ActionView):
    """What one holder's build is made of."""

    @extend_schema(responses=ContainedSerializer(many=True))
    def get(self, request: Request, holder: str) -> Response:
        rows = contents_of(holder)
        if not rows:
            raise NotFound("No stock is drawn for this key.")
        return Response(ContainedSerializer(rows, many=True).data)
