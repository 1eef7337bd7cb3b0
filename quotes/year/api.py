"""A year of the accounts in the API."""

from datetime import MAXYEAR, MINYEAR
from typing import Any

from django.http import Http404
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.fields import DecimalField
from inventory.base.api.tables import WORKBOOK, WORKBOOK_RENDERERS
from inventory.base.api.views import ActionView
from inventory.base.queries import home_currency
from inventory.base.tables import XLSX, as_xlsx
from quotes.year.calc.tables import year_tables
from quotes.year.queries import year_books


def amount(**shape: Any) -> DecimalField:
    """Return a field for money."""
    return DecimalField(max_digits=18, decimal_places=3, **shape)


class YearMonthData(serializers.Serializer):
    """One month in the workshop's currency: invoiced net and its tax, received gross, minutes."""

    month = serializers.IntegerField()
    accepted = serializers.IntegerField()
    invoiced = amount()
    tax = amount()
    received = amount()
    minutes = DecimalField(max_digits=9, decimal_places=1)
    billable_minutes = DecimalField(max_digits=9, decimal_places=1)


class YearGroupData(serializers.Serializer):
    """One template or kind of client."""

    name = serializers.CharField()
    accepted = serializers.IntegerField()
    net = amount()
    closed = serializers.IntegerField()
    hours = DecimalField(max_digits=9, decimal_places=2)
    hourly = amount(allow_null=True)


class YearTaxData(serializers.Serializer):
    """What was invoiced at one rate, or without tax for one reason."""

    words = serializers.CharField()
    net = amount()
    tax = amount()


class YearUnionData(serializers.Serializer):
    """What was supplied to one business in another member state, by its tax number."""

    number = serializers.CharField()
    client = serializers.CharField()
    net = amount()


class YearQuarterData(serializers.Serializer):
    """One quarter in the workshop's currency, with its tax by rate."""

    quarter = serializers.IntegerField()
    accepted = serializers.IntegerField()
    invoiced = amount()
    tax = amount()
    received = amount()
    taxes = YearTaxData(many=True)


class BooksYearData(serializers.Serializer):
    """A year of the accounts in the workshop's currency."""

    year = serializers.IntegerField()
    invoiced = amount()
    tax = amount()
    received = amount()
    months = YearMonthData(many=True)
    quarters = YearQuarterData(many=True)
    templates = YearGroupData(many=True)
    clients = YearGroupData(many=True)
    taxes = YearTaxData(many=True)
    union = YearUnionData(many=True)


@extend_schema(tags=["books"])
class BooksYearView(ActionView):
    """A year of the accounts."""

    @extend_schema(responses=BooksYearData)
    def get(self, request: Request, year: int) -> Response:
        """Return a year by month, by template, by kind of client and by tax."""
        if not MINYEAR < year < MAXYEAR:
            raise Http404
        return Response(BooksYearData(year_books(year)).data)


@extend_schema(tags=["books"])
class BooksYearTablesView(ActionView):
    """The tables of a year as one file."""

    renderer_classes = WORKBOOK_RENDERERS

    @extend_schema(responses=WORKBOOK)
    def get(self, request: Request, year: int) -> Response:
        """Return all tables of a year as one workbook (XLSX), each on a sheet of its own."""
        if not MINYEAR < year < MAXYEAR:
            raise Http404
        written = as_xlsx(year_tables(year_books(year), home_currency()))
        return Response(written, content_type=XLSX)
