"""The stock journal and what was sold, over the API."""

from django.utils import timezone
from django_filters.rest_framework import DjangoFilterBackend
from drf_spectacular.utils import OpenApiExample, extend_schema, extend_schema_serializer
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api.fields import LEAST, quantity_field
from inventory.api.filters import EntryFilter
from inventory.api.happenings import ENTRIES, EntrySerializer, SaleSerializer, entries_answer
from inventory.models import Sale, StockEntry
from inventory.rest.asking import asked_of
from inventory.rest.device_time import DEVICE_TIME, moment_of
from inventory.rest.pagination import JournalPages
from inventory.rest.views import ReadViewSet
from inventory.services.correct_entry import correct_entry
from inventory.services.return_stock import return_stock
from inventory.services.undo_entries import undo_entries

ENTRY = {201: EntrySerializer}


@extend_schema_serializer(examples=[OpenApiExample("Some wire back", value={"quantity": "90"})])
class BringBack(serializers.Serializer):
    quantity = quantity_field(min_value=LEAST)
    happened_at = serializers.DateTimeField(required=False, allow_null=True, default=None)


@extend_schema_serializer(examples=[OpenApiExample("A slip", value={"why": "typed twice"})])
class Correct(serializers.Serializer):
    why = serializers.CharField(max_length=300)


class EntryViewSet(ReadViewSet):
    """The stock journal, the latest told first."""

    queryset = StockEntry.objects.select_related("lot", "material")
    serializer_class = EntrySerializer
    pagination_class = JournalPages
    filterset_class = EntryFilter
    filter_backends = [DjangoFilterBackend]

    @extend_schema(request=BringBack, responses=ENTRY, parameters=[DEVICE_TIME])
    @action(detail=True, methods=["post"], url_path="return")
    def bring_back(self, request: Request, pk: str) -> Response:
        """Put some of a draw back on the shelf, at the cost it was drawn at."""
        data = asked_of(BringBack, request)
        data["happened_at"] = moment_of(request, data["happened_at"]).at
        entry = return_stock(entry=self.get_object(), now=timezone.now(), user=request.user, **data)
        return Response(EntrySerializer(entry).data, status=201)

    @extend_schema(request=Correct, responses=ENTRY)
    @action(detail=True, methods=["post"])
    def correct(self, request: Request, pk: str) -> Response:
        """Undo an entry that stands alone by its counter-entry."""
        data = asked_of(Correct, request)
        entry = correct_entry(
            entry=self.get_object(), now=timezone.now(), user=request.user, **data
        )
        return Response(EntrySerializer(entry).data, status=201)

    @extend_schema(request=Correct, responses=ENTRIES)
    @action(detail=True, methods=["post"], url_path="take-back")
    def take_back(self, request: Request, pk: str) -> Response:
        """Undo an entry and all that was done at once with it, such as a whole cut.

        Answered 409 when a part of it has been used, promised or moved meanwhile.
        """
        data = asked_of(Correct, request)
        entries = [self.get_object()]
        return entries_answer(
            undo_entries(entries=entries, now=timezone.now(), user=request.user, **data)
        )


class SaleViewSet(ReadViewSet):
    """What was sold from the rack, the latest first."""

    queryset = Sale.objects.order_by("-pk")
    serializer_class = SaleSerializer
