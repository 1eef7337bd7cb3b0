"""Rows of a draft in the API: added, taken out, what may go wrong, and the price set by hand."""

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.examples import example
from inventory.base.api.fields import DecimalField
from inventory.base.api.views import ActionView
from quotes.models import Quote, QuoteExtra, QuoteFailure, QuoteMaterial, QuoteStage
from quotes.papers.queries import spec_lines
from quotes.pricing.queries.pricing import QUOTE_ROWS
from quotes.quoting.api import quote_data as data
from quotes.quoting.queries.quote_page import specification_now
from quotes.quoting.services.edit import set_price
from quotes.quoting.services.rows import add_row, remove_row, set_failure_risk
from quotes.quoting.services.specification import SpecAsked, edit_specification

ROWS: dict[str, Any] = {
    "stage": data.QuoteStageData,
    "material": data.MaterialData,
    "extra": data.ExtraData,
}
MODELS: dict[str, Any] = {
    "stage": QuoteStage,
    "material": QuoteMaterial,
    "extra": QuoteExtra,
    "failure": QuoteFailure,
}
ADD_EXAMPLE = OpenApiExample(
    "outside work",
    value={"kind": "extra", "fields": {"kind": "outside", "name": "Plating", "cost": "40.00"}},
    request_only=True,
)


class RowAsked(serializers.Serializer):
    """A row to add: its kind, and its fields as they are in a quote."""

    kind = serializers.ChoiceField(choices=list(ROWS))
    fields_ = serializers.DictField()

    def get_fields(self) -> dict[str, serializers.Field]:
        """Name the second field `fields`, which a serializer keeps for itself."""
        shown = super().get_fields()
        shown["fields"] = shown.pop("fields_")
        return shown


@example("a material", kind="material", id=31)
class RowNamed(serializers.Serializer):
    """A row of a quote."""

    kind = serializers.ChoiceField(choices=list(MODELS))
    id = serializers.IntegerField()


@example("the market's price", amount="3250.00", is_gross=False)
class PriceAsked(serializers.Serializer):
    """The instrument's price without shipping, in the workshop's currency; `is_gross`: with tax."""

    amount = DecimalField(max_digits=18, decimal_places=3)
    is_gross = serializers.BooleanField(default=False)


class _RowsView(ActionView):
    def shown(self, quote: Quote, status: int = 200) -> Response:
        """Answer with the quote as it is now."""
        quotes = Quote.objects.select_related("commission__client")
        fresh = quotes.prefetch_related(*QUOTE_ROWS).get(pk=quote.pk)
        return Response(data.QuoteData(fresh).data, status=status)


@extend_schema(tags=["quotes"])
class RowAddView(_RowsView):
    """Rows of a draft, added."""

    @extend_schema(request=RowAsked, responses={201: data.QuoteData}, examples=[ADD_EXAMPLE])
    def post(self, request: Request, pk: int) -> Response:
        """Add a stage, a material or an own line. It comes last of its kind."""
        quote = get_object_or_404(Quote, pk=pk)
        asked = validated_body(RowAsked, request)
        checked = ROWS[asked["kind"]](data=asked["fields"])
        checked.is_valid(raise_exception=True)
        add_row(quote=quote, of=asked["kind"], **checked.validated_data)
        return self.shown(quote, 201)


@extend_schema(tags=["quotes"])
class RowRemoveView(_RowsView):
    """Rows of a draft, taken out."""

    @extend_schema(request=RowNamed, responses=data.QuoteData)
    def post(self, request: Request, pk: int) -> Response:
        """Take a row out."""
        asked = validated_body(RowNamed, request)
        rows = MODELS[asked["kind"]].objects.select_related("quote")
        row = get_object_or_404(rows, pk=asked["id"], quote=pk)
        remove_row(row=row)
        return self.shown(row.quote)


@extend_schema(tags=["quotes"])
class FailureNewView(_RowsView):
    """What may go wrong in a draft."""

    @extend_schema(request=data.FailureData, responses={201: data.QuoteData})
    def post(self, request: Request, pk: int) -> Response:
        """Add what else can go wrong in a stage."""
        quote = get_object_or_404(Quote, pk=pk)
        set_failure_risk(quote=quote, **validated_body(data.FailureData, request))
        return self.shown(quote, 201)


@extend_schema(tags=["quotes"])
class FailureView(_RowsView):
    """One thing that may go wrong in a draft."""

    @extend_schema(
        operation_id="quotes_failures_edit",
        request=data.FailureData,
        responses=data.QuoteData,
    )
    def post(self, request: Request, pk: int, failure_pk: int) -> Response:
        """Edit it."""
        rows = QuoteFailure.objects.select_related("quote")
        failure = get_object_or_404(rows, pk=failure_pk, quote=pk)
        asked = validated_body(data.FailureData, request)
        set_failure_risk(quote=failure.quote, failure=failure, **asked)
        return self.shown(failure.quote)


@extend_schema(tags=["quotes"])
class SpecificationView(ActionView):
    """The specification of a quote."""

    @extend_schema(responses=data.SpecificationData)
    def get(self, request: Request, pk: int) -> Response:
        """Return its rows, and what it says: of a draft today, else as it is to be built now."""
        quote = get_object_or_404(Quote, pk=pk)
        shown = {"rows": quote.specs.all(), "text": quote.specification}
        lines = spec_lines(quote) if quote.is_draft else []
        missing = [line.row.name for line in lines if line.is_missing]
        says = specification_now(quote, lines)
        return Response(data.SpecificationData(shown | {"says": says, "missing": missing}).data)

    @extend_schema(request=data.SpecificationAsked, responses=data.SpecificationData)
    def post(self, request: Request, pk: int) -> Response:
        """Write all rows of a draft's specification in place of those it has."""
        quote = get_object_or_404(Quote, pk=pk)
        asked = validated_body(data.SpecificationAsked, request)
        rows = [SpecAsked(**row) for row in asked["rows"]]
        edit_specification(quote=quote, rows=rows, text=asked.get("text"))
        return self.get(request, pk)


@extend_schema(tags=["quotes"])
class PriceSetView(_RowsView):
    """The price of a draft, set by hand."""

    @extend_schema(request=PriceAsked, responses=data.QuoteData)
    def post(self, request: Request, pk: int) -> Response:
        """Set the price; an own line makes up the difference and says so."""
        quote = get_object_or_404(Quote, pk=pk)
        set_price(quote=quote, **validated_body(PriceAsked, request))
        return self.shown(quote)
