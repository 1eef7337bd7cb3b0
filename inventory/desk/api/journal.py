"""The stock journal and what was sold, over the API."""

from django.utils import timezone
from django_filters.rest_framework import DjangoFilterBackend
from drf_spectacular.utils import OpenApiExample, extend_schema, extend_schema_serializer
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.device_time import DEVICE_TIME, moment_of
from inventory.base.api.fields import LEAST, quantity_field
from inventory.base.api.pagination import JournalPages
from inventory.base.api.views import ReadViewSet
from inventory.ledger.services.reverse import reverse_entry, reverse_groups
from inventory.models import Sale, StockEntry
from inventory.shelf.api.entries import (
    ENTRIES,
    Correct,
    EntrySerializer,
    SaleSerializer,
    entries_answer,
)
from inventory.shelf.api.filters import EntryFilter
from inventory.shelf.services.moves import return_stock

ENTRY = {201: EntrySerializer}


@extend_schema_serializer(examples=[OpenApiExample("Some wire back", value={"quantity": "90"})])
class BringBack(serializers.Serializer):
    quantity = quantity_field(min_value=LEAST)
    happened_at = serializers.DateTimeField(required=False, allow_null=True, default=None)


class EntryViewSet(ReadViewSet):
    """The stock journal, the latest entry first."""

    queryset = StockEntry.objects.select_related("lot", "material")
    serializer_class = EntrySerializer
    pagination_class = JournalPages
    filterset_class = EntryFilter
    filter_backends = [DjangoFilterBackend]

    @extend_schema(request=BringBack, responses=ENTRY, parameters=[DEVICE_TIME])
    @action(detail=True, methods=["post"], url_path="return")
    def bring_back(self, request: Request, pk: str) -> Response:
        """Return some of a draw, at the cost it was drawn at."""
        data = validated_body(BringBack, request)
        data["happened_at"] = moment_of(request, data["happened_at"]).at
        entry = return_stock(entry=self.get_object(), now=timezone.now(), user=request.user, **data)
        return Response(EntrySerializer(entry).data, status=201)

    @extend_schema(request=Correct, responses=ENTRY)
    @action(detail=True, methods=["post"])
    def correct(self, request: Request, pk: str) -> Response:
        """Undo an entry that stands alone by its counter-entry."""
        data = validated_body(Correct, request)
        entry = reverse_entry(
            entry=self.get_object(), now=timezone.now(), user=request.user, **data
        )
        return Response(EntrySerializer(entry).data, status=201)

    @extend_schema(request=Correct, responses=ENTRIES)
    @action(detail=True, methods=["post"], url_path="take-back")
    def take_back(self, request: Request, pk: str) -> Response:
        """Undo an entry and all that was done at once with it, such as a whole cut.

        Answered 409 when a part of it has been used, reserved or moved meanwhile.
        """
        data = validated_body(Correct, request)
        entries = [self.get_object()]
        return entries_answer(
            reverse_groups(entries=entries, now=timezone.now(), user=request.user, **data)
        )


class SaleViewSet(ReadViewSet):
    """What was sold from the rack, the latest first."""

    queryset = Sale.objects.order_by("-pk")
    serializer_class = SaleSerializer
