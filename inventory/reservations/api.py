"""Reservations over the API: stock reserved and released."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema, extend_schema_serializer
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.changed import ChangesMixin
from inventory.base.api.fields import LEAST, ApiLotField, HolderField, quantity_field
from inventory.base.api.views import ReadViewSet
from inventory.models import Material, Promise
from inventory.reservations.services import release_reservation, reserve_stock
from inventory.shelf.api.entries import PromiseSerializer
from inventory.shelf.api.filters import PromiseFilter


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "A set for a build",
            value={
                "material": 1,
                "quantity": "1",
                "lot": "T-0412",
                "holder": "build:12",
                "holder_name": "2027-03 for Osric Pondweed",
            },
        )
    ]
)
class Promised(serializers.Serializer):
    material = serializers.PrimaryKeyRelatedField(queryset=Material.objects.all())
    quantity = quantity_field(min_value=LEAST)
    lot = ApiLotField(required=False, allow_null=True, default=None)
    holder = HolderField()
    holder_name = serializers.CharField(max_length=120)
    line = serializers.CharField(max_length=40, required=False, allow_blank=True, default="")
    until = serializers.DateField(required=False, allow_null=True, default=None)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        lot, material = attrs["lot"], attrs["material"]
        if lot is None:
            return attrs
        if lot.material_id != material.pk:
            raise serializers.ValidationError({"lot": f"{lot.number} is not a lot of {material}."})
        if not material.is_piece or attrs["quantity"] != 1:
            raise serializers.ValidationError(
                {"lot": "Only a piece can be reserved by number, one at a time."}
            )
        return attrs


class PromiseViewSet(ChangesMixin, ReadViewSet):
    """Reservations: stock reserved for a holder."""

    queryset = Promise.objects.select_related("lot", "material").order_by("-pk")
    serializer_class = PromiseSerializer
    filterset_class = PromiseFilter

    @extend_schema(request=Promised, responses={201: PromiseSerializer, 409: None})
    def create(self, request: Request) -> Response:
        """Reserve stock. Answered 409 when that much is not available."""
        data = validated_body(Promised, request)
        promise = reserve_stock(now=timezone.now(), **data)
        return Response(PromiseSerializer(promise).data, status=201)

    @extend_schema(request=None, responses={200: PromiseSerializer})
    @action(detail=True, methods=["post"])
    def release(self, request: Request, pk: str) -> Response:
        """Release what the reservation still holds. Doing it twice changes nothing."""
        promise = release_reservation(promise=self.get_object(), now=timezone.now())
        return Response(PromiseSerializer(promise).data)
