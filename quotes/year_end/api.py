"""A year end in the API."""

from datetime import MAXYEAR, MINYEAR
from typing import Any

from django.http import Http404
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.fields import DecimalField
from inventory.base.api.paper import PAPER_RENDERERS, PDF
from inventory.base.api.tables import WORKBOOK, WORKBOOK_RENDERERS
from inventory.base.api.views import ActionView
from inventory.base.queries import home_currency
from inventory.base.tables import XLSX, as_xlsx
from inventory.models import Workshop
from quotes.year_end.calc import YearEnd
from quotes.year_end.documents import year_end_pdf, year_end_tables
from quotes.year_end.queries import year_end


def money(**shape: Any) -> DecimalField:
    """Return a field for money."""
    return DecimalField(max_digits=18, decimal_places=3, **shape)


class YearEndAsked(serializers.Serializer):
    """What an hour costs; without it labour is left out."""

    labour = money(required=False, min_value=0)


class StockLineData(serializers.Serializer):
    """One material held: cost, what is proposed to be written down, and the value of the rest."""

    family = serializers.CharField()
    name = serializers.CharField()
    quantity = DecimalField(max_digits=24, decimal_places=9)
    unit = serializers.CharField()
    cost = money()
    written_down = money()
    realisable = money(allow_null=True)
    below_cost = money()
    value = money()
    replacement = money(allow_null=True)


class WriteDownData(serializers.Serializer):
    """A lot that is proposed to be written down, and why."""

    lot = serializers.CharField()
    material = serializers.CharField()
    quantity = serializers.CharField()
    cost = money()
    why = serializers.CharField()


class OpenBuildData(serializers.Serializer):
    """A build that was open on the day, with what is in it."""

    build = serializers.IntegerField(source="build.key")
    serial = serializers.CharField(source="build.serial")
    materials = money(source="build.materials")
    bought = money(source="build.bought")
    cost = money(source="build.cost")
    scrapped = money(source="build.scrapped")
    minutes = DecimalField(
        source="build.minutes", max_digits=12, decimal_places=2, rounding="ROUND_HALF_UP"
    )
    labour = money()
    with_labour = money()
    invoiced = money(source="build.invoiced")


class OwedOnDayData(serializers.Serializer):
    """An invoice that was not settled on the day."""

    number = serializers.CharField()
    client = serializers.CharField()
    currency = serializers.CharField()
    amount = money()
    days_late = serializers.IntegerField()


class YearEndData(serializers.Serializer):
    """A year end in the workshop's currency: stock, work in progress, what is owed."""

    year = serializers.IntegerField()
    labour_rate = money(allow_null=True)
    stock_cost = money()
    written_down = money()
    below_cost = money()
    stock_value = money()
    in_progress = money()
    labour = money()
    inventories = money()
    stock = StockLineData(many=True)
    write_downs = WriteDownData(many=True)
    builds = OpenBuildData(many=True)
    owed = OwedOnDayData(many=True)


@extend_schema(tags=["books"])
class YearEndView(ActionView):
    """The end of a year."""

    @extend_schema(parameters=[YearEndAsked], responses=YearEndData)
    def get(self, request: Request, year: int) -> Response:
        """Return stock, write-downs proposed, work in progress and what is owed on 31 December."""
        return Response(YearEndData(_asked(request, year)).data)


class YearEndSheetView(ActionView):
    """The end of a year as a paper."""

    renderer_classes = PAPER_RENDERERS

    @extend_schema(parameters=[YearEndAsked], responses=PDF)
    def get(self, request: Request, year: int) -> Response:
        """Return the sheet of the year end (PDF)."""
        printed = year_end_pdf(_asked(request, year), Workshop.objects.get())
        return Response(printed, content_type="application/pdf")


class YearEndTablesView(ActionView):
    """The end of a year as tables."""

    renderer_classes = WORKBOOK_RENDERERS

    @extend_schema(parameters=[YearEndAsked], responses=WORKBOOK)
    def get(self, request: Request, year: int) -> Response:
        """Return the tables of the year end as one workbook (XLSX)."""
        tables = year_end_tables(_asked(request, year), home_currency())
        return Response(as_xlsx(tables), content_type=XLSX)


def _asked(request: Request, year: int) -> YearEnd:
    if not MINYEAR < year < MAXYEAR:
        raise Http404
    asked = YearEndAsked(data=request.query_params)
    asked.is_valid(raise_exception=True)
    return year_end(year, asked.validated_data.get("labour"))
