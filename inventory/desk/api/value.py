"""What stock stands at on a day, and its journal, in the API."""

from typing import Any

from django.http.response import HttpResponseBase
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.fields import DecimalField
from inventory.base.api.tables import TABLE_RENDERERS, TABLES, table
from inventory.base.api.views import ActionView
from inventory.base.queries import begin_of, end_of
from inventory.desk.tables import journal_table, stock_table
from inventory.shelf.queries.value import StockValue, stock_as_of, stock_now


class DayAsked(serializers.Serializer):
    """A past day; left out, it is as things stand now."""

    on = serializers.DateField(required=False)


class DaysAsked(serializers.Serializer):
    """The first and last day, both included; left out, from the beginning and up to now."""

    first = serializers.DateField(required=False)
    last = serializers.DateField(required=False)


def _money(**given: Any) -> DecimalField:
    return DecimalField(max_digits=18, decimal_places=3, **given)


class StockHeldData(serializers.Serializer):
    """One material on a day: base units, workshop currency, at the prices of that day."""

    material = serializers.IntegerField(source="material.pk")
    name = serializers.CharField(source="material.name")
    family = serializers.CharField(source="material.family.name")
    quantity = DecimalField(max_digits=18, decimal_places=3)
    cost = _money()
    realisable = _money(allow_null=True)
    value = _money(help_text="The lower of cost and realisable value.")
    replacement = _money(allow_null=True)


class StockValueView(ActionView):
    """What the stock stands at."""

    @extend_schema(parameters=[DayAsked], responses=StockHeldData(many=True))
    def get(self, request: Request) -> Response:
        """Return every material held at the end of a day, with its cost and what it is worth."""
        return Response(StockHeldData(_held(request), many=True).data)


class StockValueTableView(ActionView):
    """The same as a table to keep."""

    renderer_classes = TABLE_RENDERERS

    @extend_schema(parameters=[DayAsked], responses=TABLES)
    def get(self, request: Request) -> HttpResponseBase:
        """Return what the stock stands at, as CSV or as XLSX by what is accepted."""
        on = _asked(DayAsked, request).get("on") or timezone.localdate()
        return table(request, stock_table(_held(request)), f"stock-{on}")


class JournalTableView(ActionView):
    """The stock journal as a table to keep."""

    renderer_classes = TABLE_RENDERERS

    @extend_schema(parameters=[DaysAsked], responses=TABLES)
    def get(self, request: Request) -> HttpResponseBase:
        """Return every entry that happened on some days, as CSV or as XLSX by what is accepted."""
        asked = _asked(DaysAsked, request)
        first, last = asked.get("first"), asked.get("last")
        rows = journal_table(begin_of(first) if first else None, end_of(last) if last else None)
        return table(request, rows, f"journal-to-{last or timezone.localdate()}")


def _held(request: Request) -> list[StockValue]:
    on = _asked(DayAsked, request).get("on")
    return stock_now() if on is None else stock_as_of(end_of(on))


def _asked(kind: type[serializers.Serializer], request: Request) -> dict[str, Any]:
    asked = kind(data=request.query_params)
    asked.is_valid(raise_exception=True)
    return dict(asked.validated_data)
