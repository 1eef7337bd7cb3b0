"""Quotes in the API: drafted, priced, sent, decided."""

from dataclasses import replace
from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone
from django_filters import rest_framework as filters
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.etags import etag_of
from inventory.base.api.paper import PAPER_RENDERERS, PDF
from inventory.base.api.views import EditViewSet
from inventory.base.refusals import Refusal
from quotes.clients.services import open_commission
from quotes.closing.queries.contingency import contingency_use
from quotes.models import Quote
from quotes.papers.documents.quote import quote_pdf
from quotes.pricing.queries.choices import choices_of
from quotes.pricing.queries.offer import offer_of
from quotes.pricing.queries.pricing import QUOTE_ROWS
from quotes.quoting.api import decision_data as decision
from quotes.quoting.api import instrument_data as asking
from quotes.quoting.api import quote_data as data
from quotes.quoting.api.quote_data import ChoiceData
from quotes.quoting.queries.holds import held_by
from quotes.quoting.queries.queue import if_yes
from quotes.quoting.services.decide import accept_quote, decline_quote
from quotes.quoting.services.draft import copy_quote, draft_quote, revise_quote
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.holds import hold_stock, release_hold
from quotes.quoting.services.instruments import (
    add_instrument,
    join_order,
    leave_order,
    order_instruments,
)
from quotes.quoting.services.issue import issue_quote
from quotes.quoting.services.rows import edit_rows

DRAFT_EXAMPLE = OpenApiExample(
    "from a template",
    value={"client": 1, "template": 2, "options": ["Binding"]},
    request_only=True,
)


class QuoteFilter(filters.FilterSet):  # type: ignore[misc]
    """By state, client, template and day."""

    client = filters.NumberFilter(field_name="commission__client")
    issued_on = filters.DateFromToRangeFilter()

    class Meta:
        model = Quote
        fields = ["state", "commission", "client", "template", "issued_on"]


@extend_schema(tags=["quotes"])
class QuoteViewSet(EditViewSet):
    """Priced, dated, versioned offers. What was sent stays as it is."""

    queryset = Quote.objects.all()
    filterset_class = QuoteFilter
    search_fields = ["title", "number", "commission__client__name"]
    ordering_fields = ["drafted_on", "issued_on", "valid_until"]
    http_method_names = ["get", "post", "patch", "head", "options"]
    sent_as = {"fee_percent": "fee_share", "percent": "tax_rate"}

    def get_queryset(self) -> QuerySet[Quote]:
        if self.action == "list":
            return Quote.offers.select_related("commission__client").defer("frozen")
        quotes = super().get_queryset().select_related("commission__client")
        return quotes.prefetch_related(*QUOTE_ROWS)

    def get_serializer_class(self) -> type[serializers.BaseSerializer[Any]]:
        return data.ListedQuoteData if self.action == "list" else data.QuoteData

    @extend_schema(
        request=data.DraftAsked, responses={201: data.QuoteData}, examples=[DRAFT_EXAMPLE]
    )
    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Draft a quote from a template for a client or a commission."""
        asked = validated_body(data.DraftAsked, request)
        on = timezone.localdate()
        client = asked.pop("client", None)
        if "commission" not in asked:
            title = asked.get("title") or str(asked["template"])
            asked["commission"] = open_commission(client=client, title=title, asked_on=on)
        return self._shown(draft_quote(on=on, **asked), 201)

    def perform_update(self, serializer: Any) -> None:
        changed = edit_quote(quote=serializer.instance, **serializer.validated_data)
        serializer.instance = self.get_queryset().get(pk=changed.pk)

    @extend_schema(request=data.RowChangeAsked, responses=data.QuoteData)
    @action(detail=True, methods=["patch"])
    def rows(self, request: Request, pk: int) -> Response:
        """Change rows of a draft; each names its `id` and only what is to change."""
        with transaction.atomic():
            self._check_version(request)
            changed = edit_rows(quote=self.get_object(), **_row_changes(request.data))
        return self._shown(changed)

    @extend_schema(responses=data.PriceData)
    @action(detail=True, methods=["get"])
    def price(self, request: Request, pk: int) -> Response:
        """Return the price with every figure behind it: as sent, or for a draft as of today."""
        quote = self.get_object()
        offer = offer_of(quote, on=timezone.localdate())
        if quote.part_of_id is not None:
            offer = replace(offer, parts=())  # the order is paid as one
        return Response(data.PriceData(offer).data)

    @extend_schema(responses=data.IfAcceptedData)
    @action(detail=True, methods=["get"], url_path="if-accepted")
    def if_accepted(self, request: Request, pk: int) -> Response:
        """Return when it is ready if it is accepted today, and what a rush does to the others."""
        quote = self.get_object()
        found = if_yes(quote, timezone.localdate())
        if found is None:
            raise Refusal(f"{quote} has no hours, so it has no place in the queue.")
        return Response(data.IfAcceptedData(found).data)

    @extend_schema(responses=ChoiceData(many=True))
    @action(detail=True, methods=["get"], url_path="option-prices", pagination_class=None)
    def option_prices(self, request: Request, pk: int) -> Response:
        """Return each option priced by itself: as sent, or for a draft as of today."""
        quote, on = self.get_object(), timezone.localdate()
        choices = choices_of(quote, offer_of(quote, on=on), on=on)
        return Response(ChoiceData(choices, many=True).data)

    @extend_schema(responses=data.ContingencyUseData)
    @action(detail=True, methods=["get"])
    def contingency(self, request: Request, pk: int) -> Response:
        """Return what the contingency went on so far; nothing before the quote has a build."""
        quote = self.get_object()
        offer = offer_of(quote, on=timezone.localdate())
        if quote.build is None:
            raise Refusal(f"{quote} has no build yet, so none of its contingency is used.")
        return Response(data.ContingencyUseData(contingency_use(quote.build, quote, offer)).data)

    @extend_schema(responses=PDF)
    @action(detail=True, methods=["get"], renderer_classes=PAPER_RENDERERS)
    def document(self, request: Request, pk: int) -> Response:
        """Return the paper (PDF) as it was sent, or as a draft would read today."""
        printed = quote_pdf(self.get_object(), timezone.localdate())
        return Response(printed, content_type="application/pdf")

    @extend_schema(request=None, responses=data.QuoteData)
    @action(detail=True, methods=["post"])
    def issue(self, request: Request, pk: int) -> Response:
        """Number, freeze and print a draft."""
        now = timezone.now()
        return self._shown(issue_quote(quote=self.get_object(), on=timezone.localdate(), now=now))

    @extend_schema(request=decision.AcceptAsked, responses=decision.AcceptedData)
    @action(detail=True, methods=["post"])
    def accept(self, request: Request, pk: int) -> Response:
        """Record acceptance: makes the build and reserves stock; answers what is short."""
        asked = validated_body(decision.AcceptAsked, request)
        accepted = accept_quote(
            quote=self.get_object(),
            on=timezone.localdate(),
            now=timezone.now(),
            by=asked.get("by", ""),
            chosen=decision.chosen_in(asked),
        )
        return Response(decision.AcceptedData(accepted).data)

    @extend_schema(request=decision.DeclineAsked, responses=data.QuoteData)
    @action(detail=True, methods=["post"])
    def decline(self, request: Request, pk: int) -> Response:
        """Keep that the client said no."""
        asked = validated_body(decision.DeclineAsked, request)
        return self._shown(decline_quote(quote=self.get_object(), now=timezone.now(), **asked))

    @extend_schema(request=None, responses={201: data.QuoteData})
    @action(detail=True, methods=["post"])
    def revise(self, request: Request, pk: int) -> Response:
        """Draft the next version at today's prices."""
        return self._shown(revise_quote(quote=self.get_object(), on=timezone.localdate()), 201)

    @extend_schema(request=decision.CopyAsked, responses={201: data.QuoteData})
    @action(detail=True, methods=["post"])
    def copy(self, request: Request, pk: int) -> Response:
        """Draft a copy, for the same commission or for a client's new one."""
        asked, quote, on = (
            validated_body(decision.CopyAsked, request),
            self.get_object(),
            timezone.localdate(),
        )
        title = asked.get("title") or quote.title
        client = asked.get("client")
        commission = open_commission(client=client, title=title, asked_on=on) if client else None
        copied = copy_quote(quote=quote, on=on, commission=commission, title=title)
        return self._shown(copied, 201)

    @extend_schema(request=asking.InstrumentAsked, responses={201: data.QuoteData})
    @action(detail=True, methods=["post"])
    def instruments(self, request: Request, pk: int) -> Response:
        """Add an instrument to a draft: in the same order, with a build of its own."""
        asked = validated_body(asking.InstrumentAsked, request)
        one = add_instrument(quote=self.get_object(), on=timezone.localdate(), **asked)
        return self._shown(one, 201)

    @extend_schema(request=asking.InstrumentOrderAsked, responses=data.QuoteData)
    @action(detail=True, methods=["post"])
    def arrange(self, request: Request, pk: int) -> Response:
        """Put the further instruments of a draft into another order."""
        asked = validated_body(asking.InstrumentOrderAsked, request)
        return self._shown(order_instruments(quote=self.get_object(), **asked))

    @extend_schema(request=None, responses=data.QuoteData)
    @action(detail=True, methods=["post"])
    def leave(self, request: Request, pk: int) -> Response:
        """Take a further instrument out of its order: it is a draft by itself again."""
        return self._shown(leave_order(one=self.get_object()))

    @extend_schema(request=asking.JoinAsked, responses=data.QuoteData)
    @action(detail=True, methods=["post"])
    def join(self, request: Request, pk: int) -> Response:
        """Make another draft of the commission a further instrument of this one."""
        asked = validated_body(asking.JoinAsked, request)
        join_order(quote=self.get_object(), one=asked["quote"])
        return self._shown(self.get_object())

    @extend_schema(methods=["get"], responses=decision.HoldData(many=True))
    @extend_schema(
        methods=["post"], request=decision.HoldAsked, responses=decision.HeldData(many=True)
    )
    @action(detail=True, methods=["get", "post"], pagination_class=None, filterset_class=None)
    def hold(self, request: Request, pk: int) -> Response:
        """Show what is held for the quote, or hold stock to a day: what is missing comes back."""
        if request.method == "GET":
            quote = self.get_object()
            return Response(decision.HoldData(held_by([quote]).get(quote.pk, []), many=True).data)
        asked = validated_body(decision.HoldAsked, request)
        now = timezone.now()
        missing = hold_stock(
            quote=self.get_object(),
            until=asked["until"],
            on=timezone.localdate(now),
            now=now,
            chosen=decision.chosen_in(asked),
        )
        return Response([{"name": name, "missing": f"{quantity}"} for name, quantity in missing])

    @extend_schema(request=None, responses=data.QuoteData)
    @action(detail=True, methods=["post"])
    def release(self, request: Request, pk: int) -> Response:
        """Release what is held, before the hold ends by itself."""
        return self._shown(release_hold(quote=self.get_object(), now=timezone.now()))

    def _shown(self, quote: Quote, status: int = 200) -> Response:
        fresh = get_object_or_404(self.get_queryset(), pk=quote.pk)
        shown = data.QuoteData(fresh).data
        return Response(shown, status=status, headers={"ETag": etag_of(shown)})


ROWS: dict[str, type[serializers.Serializer]] = {
    "stages": data.QuoteStageData,
    "materials": data.MaterialData,
    "extras": data.ExtraData,
}


def _row_changes(asked: Any) -> dict[str, dict[int, dict[str, Any]]]:
    """Check each row's fields by its own serializer and key them by the row's id."""
    if not isinstance(asked, dict):
        raise serializers.ValidationError("Give an object with stages, materials or extras.")
    return {kind: _changes(kind, asked[kind]) for kind in ROWS if kind in asked}


def _changes(kind: str, rows: Any) -> dict[int, dict[str, Any]]:
    if not isinstance(rows, list):
        raise serializers.ValidationError({kind: "Give a list of rows."})
    changes = {}
    for row in rows:
        if not isinstance(row, dict) or not isinstance(row.get("id"), int):
            raise serializers.ValidationError({kind: "Each row needs its id, a whole number."})
        checked = ROWS[kind](data=row, partial=True)
        checked.is_valid(raise_exception=True)
        changes[row["id"]] = dict(checked.validated_data)
    return changes
