"""Invoices, payments and changes in the API."""

from decimal import Decimal

from django.db.models import Q, QuerySet
from django.utils import timezone
from django_filters import rest_framework as filters
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework.decorators import action
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.paper import PAPER_RENDERERS, PDF
from inventory.base.api.views import ActionView, ReadViewSet
from inventory.base.roles import BOOK_ROLES
from inventory.fields import money_value
from quotes.invoicing.api.money_data import (
    AccountData,
    CreditAsked,
    InvoiceAsked,
    InvoiceData,
    OwedAsked,
    PaymentAsked,
    PaymentData,
    WhyGiven,
)
from quotes.invoicing.documents import receipt_of
from quotes.invoicing.queries.invoices import owed_on
from quotes.invoicing.services.invoices import credit_invoice, issue_invoice
from quotes.invoicing.services.payments import correct_payment, record_payment
from quotes.models import Invoice, Payment
from quotes.papers.documents.printing import print_paper

INVOICE_EXAMPLE = OpenApiExample("the deposit", value={"quote": 1, "part": 0}, request_only=True)
PAYMENT_EXAMPLE = OpenApiExample(
    "a transfer",
    value={
        "client": 1,
        "invoice": 3,
        "amount": "1130.40",
        "received_on": "2027-03-12",
        "way": "transfer",
    },
    request_only=True,
)


class InvoiceFilter(filters.FilterSet):  # type: ignore[misc]
    """Which invoices to list: of whom, of which days, and whether something is still open."""

    client = filters.NumberFilter(field_name="commission__client")
    issued_on = filters.DateFromToRangeFilter()
    is_open = filters.BooleanFilter(method="only_open")

    class Meta:
        model = Invoice
        fields = ["commission", "client", "quote", "kind", "currency", "issued_on"]

    def only_open(self, rows: QuerySet[Invoice], name: str, value: bool) -> QuerySet[Invoice]:
        """Leave those that are still to be paid, or those that are not."""
        is_open = Q(unsettled__gt=money_value(Decimal(0)))
        return rows.filter(is_open if value else ~is_open)


@extend_schema(tags=["money"])
class InvoiceViewSet(ReadViewSet):
    """Invoices and credit notes, as they were sent."""

    queryset = Invoice.objects.select_related("commission").defer("frozen")
    serializer_class = InvoiceData
    write_roles = BOOK_ROLES
    filterset_class = InvoiceFilter
    search_fields = ["number", "commission__title", "commission__client__name"]
    ordering_fields = ["issued_on", "due_on", "gross", "unsettled"]

    @extend_schema(request=InvoiceAsked, responses={201: InvoiceData}, examples=[INVOICE_EXAMPLE])
    def create(self, request: Request) -> Response:
        """Issue the invoice for a part of an accepted price, or for an agreed change."""
        asked = validated_body(InvoiceAsked, request)
        if "change" in asked:
            asked["quote"] = asked["change"].quote
        invoice = issue_invoice(on=timezone.localdate(), **asked)
        return Response(InvoiceData(invoice).data, status=201)

    @extend_schema(request=CreditAsked, responses={201: InvoiceData})
    @action(detail=True, methods=["post"])
    def credit(self, request: Request, pk: int) -> Response:
        """Take an invoice back, as a whole or in part."""
        asked = validated_body(CreditAsked, request)
        note = credit_invoice(invoice=self.get_object(), on=timezone.localdate(), **asked)
        return Response(InvoiceData(note).data, status=201)

    @extend_schema(responses=PDF)
    @action(detail=True, methods=["get"], renderer_classes=PAPER_RENDERERS)
    def document(self, request: Request, pk: int) -> Response:
        """Return the paper as it was sent."""
        with self.get_object().document.open() as kept:
            return Response(kept.read(), content_type="application/pdf")


@extend_schema(tags=["money"])
class PaymentViewSet(ReadViewSet):
    """What came in and went back; a mistake gets a counter-payment."""

    queryset = Payment.objects.defer("frozen")
    serializer_class = PaymentData
    write_roles = BOOK_ROLES
    filterset_fields = ["client", "commission", "invoice", "currency", "way"]
    search_fields = ["number", "client__name", "note"]
    ordering_fields = ["received_on"]

    @extend_schema(request=PaymentAsked, responses={201: PaymentData}, examples=[PAYMENT_EXAMPLE])
    def create(self, request: Request) -> Response:
        """Record what came in, or below 0 what went back."""
        asked = validated_body(PaymentAsked, request)
        payment = record_payment(now=timezone.now(), user=request.user, **asked)
        return Response(PaymentData(payment).data, status=201)

    @extend_schema(request=WhyGiven, responses={201: PaymentData})
    @action(detail=True, methods=["post"])
    def correct(self, request: Request, pk: int) -> Response:
        """Reverse a payment that was recorded by mistake."""
        why = validated_body(WhyGiven, request)["why"]
        counter = correct_payment(
            payment=self.get_object(), why=why, now=timezone.now(), user=request.user
        )
        return Response(PaymentData(counter).data, status=201)

    @extend_schema(responses=PDF)
    @action(detail=True, methods=["get"], renderer_classes=PAPER_RENDERERS)
    def receipt(self, request: Request, pk: int) -> Response:
        """Return the receipt (PDF), as it was when the payment was recorded."""
        rows = Payment.objects.select_related("client", "invoice", "commission")
        row = get_object_or_404(rows, pk=pk)
        printed = print_paper(
            "quotes/papers/receipt.html", receipt_of(row), made_on=f"{row.received_on}"
        )
        return Response(printed, content_type="application/pdf")


@extend_schema(tags=["money"])
class OwedView(ActionView):
    """Who owes what."""

    @extend_schema(
        parameters=[OwedAsked],
        responses=AccountData(many=True),
    )
    def get(self, request: Request) -> Response:
        """Return every account that is not even on a day, the latest first."""
        asked = OwedAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        on = asked.validated_data.get("on", timezone.localdate())
        return Response(AccountData(owed_on(on), many=True).data)
