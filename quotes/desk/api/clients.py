"""Clients and commissions in the API, with what each comes to."""

from decimal import Decimal
from typing import Any

from django.db.models import Prefetch, QuerySet
from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema, extend_schema_view
from rest_framework import mixins, serializers, viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.examples import example
from inventory.base.api.idempotency import IdempotentMixin
from inventory.base.api.paper import PAPER_RENDERERS, PDF
from inventory.base.api.views import EditViewSet, Serializer
from inventory.base.queries import home_currency
from inventory.base.refusals import Refusal
from quotes.cancelling.api import CancelOrderAsked
from quotes.cancelling.services import cancel_commission
from quotes.clients.services import add_client, edit_client, open_commission
from quotes.desk.api.account_data import StatementAsked, StatementData, TotalsData
from quotes.desk.queries import commission_page
from quotes.invoicing.documents import statement_paper
from quotes.invoicing.queries.invoices import statement_of
from quotes.models import Client, Commission, Quote
from quotes.papers.documents.printing import print_paper


class ClientData(Serializer):
    """A client."""

    class Meta:
        model = Client
        fields = [
            "id", "name", "kind", "email", "phone", "address", "country", "currency",
            "tax_number", "note",
        ]  # fmt: skip


@example(
    "a bouzouki", client=1, title="Carved-top bouzouki", note="Left-handed.", asked_on="2027-03-09"
)
class CommissionData(Serializer):
    """A commission; its quotes are listed by their numbers in the API."""

    client_name = serializers.CharField(source="client.name", read_only=True)
    quotes: Any = serializers.PrimaryKeyRelatedField(many=True, read_only=True)
    asked_on = serializers.DateField(required=False)

    class Meta:
        model = Commission
        fields = ["id", "client", "client_name", "title", "state", "asked_on", "note", "quotes"]
        read_only_fields = ["state"]


@example("a change of mind", why="The client moves abroad.")
class WhyAsked(serializers.Serializer):
    """A reason in words."""

    why = serializers.CharField(required=False, allow_blank=True, max_length=200)


CLIENT_EXAMPLE = OpenApiExample(
    "abroad",
    value={"name": "Lune Farthing-Quill", "country": "US", "currency": "USD"},
    request_only=True,
)


@extend_schema_view(create=extend_schema(examples=[CLIENT_EXAMPLE]))
@extend_schema(tags=["clients"])
class ClientViewSet(EditViewSet):
    """Whoever orders. A client with commissions can't be deleted."""

    queryset = Client.objects.order_by("name", "pk")
    serializer_class = ClientData
    filterset_fields = ["kind", "currency", "country"]
    search_fields = ["name", "email"]
    ordering_fields = ["name"]

    def perform_create(self, serializer: Any) -> None:
        serializer.instance = add_client(**serializer.validated_data)

    def perform_update(self, serializer: Any) -> None:
        serializer.instance = edit_client(client=serializer.instance, **serializer.validated_data)

    def perform_destroy(self, instance: Client) -> None:
        if instance.commissions.exists():
            raise Refusal(f"{instance} has commissions and cannot be deleted.")
        instance.delete()

    @extend_schema(parameters=[StatementAsked], responses=StatementData)
    @action(detail=True, methods=["get"])
    def statement(self, request: Request, pk: int) -> Response:
        """Return the client's account in one currency, from the first of the year unless asked."""
        client, asked = self.get_object(), statement_asked(request)
        rows = statement_of(client, **asked)
        balance = rows[-1].balance if rows else Decimal(0)
        shown = asked | {"client": client.pk, "rows": rows, "balance": balance}
        return Response(StatementData(shown).data)

    @extend_schema(parameters=[StatementAsked], responses=PDF)
    @action(detail=True, url_path="statement/document", renderer_classes=PAPER_RENDERERS)
    def statement_document(self, request: Request, pk: int) -> Response:
        """Return the same as a paper (PDF)."""
        client, asked = self.get_object(), statement_asked(request)
        paper = statement_paper(client, rows=statement_of(client, **asked), **asked)
        made_on = f"{asked['until']}"
        printed = print_paper("quotes/papers/statement.html", paper, made_on=made_on)
        return Response(printed, content_type="application/pdf")


def statement_asked(request: Request) -> dict[str, Any]:
    """Return currency and days of a statement: this year's, in home money, unless others are asked.

    Raises ValidationError for what can't be read.
    """
    asked = StatementAsked(data=request.query_params)
    asked.is_valid(raise_exception=True)
    until = asked.validated_data.get("until", timezone.localdate())
    return {
        "currency": asked.validated_data.get("currency", "").upper() or home_currency(),
        "since": asked.validated_data.get("since", until.replace(day=1, month=1)),
        "until": until,
    }


@extend_schema(tags=["commissions"])
class CommissionViewSet(
    IdempotentMixin,
    mixins.CreateModelMixin,
    viewsets.ReadOnlyModelViewSet,
):
    """Orders from first talk to delivery."""

    queryset = Commission.objects.all()
    serializer_class = CommissionData
    filterset_fields = ["client", "state"]
    search_fields = ["title", "client__name"]
    ordering_fields = ["asked_on"]

    def get_queryset(self) -> QuerySet[Commission]:
        quotes = Prefetch("quotes", Quote.offers.defer("frozen"))
        return super().get_queryset().select_related("client").prefetch_related(quotes)

    def perform_create(self, serializer: Any) -> None:
        asked = {"asked_on": timezone.localdate()} | serializer.validated_data
        serializer.instance = open_commission(**asked)

    @extend_schema(responses=TotalsData, filters=False)
    @action(detail=True, methods=["get"])
    def totals(self, request: Request, pk: int) -> Response:
        """Return what the commission comes to: asked for, paid, owed, and its parts."""
        page = commission_page(self.get_object().pk, timezone.localdate())
        return Response(TotalsData(page).data)

    @extend_schema(request=CancelOrderAsked, responses=CommissionData)
    @action(detail=True, methods=["post"])
    def cancel(self, request: Request, pk: int) -> Response:
        """Cancel the commission, settle it where asked, and release its stock."""
        commission = cancel_commission(
            commission=self.get_object(),
            now=timezone.now(),
            user=request.user,
            **validated_body(CancelOrderAsked, request),
        )
        return Response(self.get_serializer(commission).data)
