"""Invoices, payments and changes in the API."""

from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import mixins, serializers, viewsets
from rest_framework.decorators import action
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.rest.asking import asked_of
from inventory.rest.examples import example
from inventory.rest.idempotency import AskedOnceMixin
from inventory.rest.paper import PaperRenderer
from inventory.rest.views import ActionView, ReadViewSet, Serializer
from inventory.roles import BOOK_ROLES
from quotes.models import Change, Client, Commission, Invoice, Payment, Quote
from quotes.queries.invoices import owed_on
from quotes.services.correct_payment import correct_payment
from quotes.services.credit_invoice import credit_invoice
from quotes.services.decide_change import decide_change
from quotes.services.issue_invoice import issue_invoice
from quotes.services.offer_change import offer_change
from quotes.services.record_payment import record_payment

PDF = {(200, "application/pdf"): OpenApiTypes.BINARY}
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


class InvoiceData(Serializer):
    """An invoice or a credit note as it was sent."""

    client = serializers.IntegerField(source="commission.client_id", read_only=True)

    class Meta:
        model = Invoice
        fields = [
            "id", "number", "kind", "commission", "client", "quote", "change", "credits", "part",
            "issued_on", "due_on", "currency", "exchange_rate", "net", "tax", "gross", "home_net",
            "home_tax", "why", "document_sha256",
        ]  # fmt: skip


@example("the deposit", quote=1, part=0)
class InvoiceAsked(serializers.Serializer):
    """A part of an accepted quote, counted from 0, or an agreed change."""

    quote = serializers.PrimaryKeyRelatedField(
        queryset=Quote.objects.select_related("commission__client"), required=False
    )
    part = serializers.IntegerField(required=False, min_value=0, max_value=20)
    change = serializers.PrimaryKeyRelatedField(
        queryset=Change.objects.select_related("quote__commission__client"), required=False
    )
    due_on = serializers.DateField(required=False)

    def validate(self, asked: dict[str, Any]) -> dict[str, Any]:
        if ("change" in asked) == ("part" in asked):
            raise serializers.ValidationError("Name a part of a quote, or a change.")
        if "part" in asked and "quote" not in asked:
            raise serializers.ValidationError({"quote": "Which quote is it a part of?"})
        return asked


@example("half of it", why="The case was not delivered.", amount="85.00")
class CreditAsked(serializers.Serializer):
    """Why, and how much, gross; left out, all of it."""

    why = serializers.CharField(max_length=300)
    amount = serializers.DecimalField(max_digits=12, decimal_places=3, required=False)


class PaymentData(Serializer):
    """A payment; a refund or a correction is below 0."""

    class Meta:
        model = Payment
        fields = [
            "id", "number", "client", "commission", "invoice", "received_on", "currency",
            "amount", "home", "fee", "way", "note", "recorded_at", "counter_to",
        ]  # fmt: skip
        read_only_fields = ["number", "home", "recorded_at", "counter_to"]


@example("a deposit", client=1, commission=1, invoice=1, amount="1130.40", received_on="2027-03-09")
class PaymentAsked(serializers.Serializer):
    """What came in; `exchange_rate` only for foreign money."""

    client = serializers.PrimaryKeyRelatedField(queryset=Client.objects.all())
    commission = serializers.PrimaryKeyRelatedField(
        queryset=Commission.objects.all(),
        required=False,
        allow_null=True,
    )
    invoice = serializers.PrimaryKeyRelatedField(
        queryset=Invoice.objects.select_related("commission__client"),
        required=False,
        allow_null=True,
    )
    amount = serializers.DecimalField(max_digits=12, decimal_places=3)
    received_on = serializers.DateField()
    currency = serializers.CharField(required=False, max_length=3)
    exchange_rate = serializers.DecimalField(max_digits=14, decimal_places=6, required=False)
    fee = serializers.DecimalField(max_digits=12, decimal_places=3, required=False)
    way = serializers.ChoiceField(choices=Payment.Way.choices, required=False)
    note = serializers.CharField(required=False, allow_blank=True, max_length=200)


@example("a slip", why="Typed twice.")
class WhyGiven(serializers.Serializer):
    """A reason in words."""

    why = serializers.CharField(max_length=200)


@example(
    "a finger rest",
    quote=1,
    title="Finger rest in ebony",
    hours="1.50",
    cost="18.00",
    price="95.00",
    days_added=2,
    is_paid_ahead=True,
    is_billed=True,
)
class ChangeData(Serializer):
    """A change after acceptance."""

    class Meta:
        model = Change
        fields = [
            "id", "commission", "quote", "number", "state", "title", "words", "hours", "cost",
            "price", "days_added", "is_paid_ahead", "is_billed", "offered_on", "decided_at",
            "decided_by", "document_sha256",
        ]  # fmt: skip
        read_only_fields = [
            "commission", "number", "state", "offered_on", "decided_at", "decided_by",
            "document_sha256",
        ]  # fmt: skip
        extra_kwargs = {
            "price": {
                "required": False,
                "help_text": "Net, in the quote's currency; left out: worked out.",
            },
            "is_paid_ahead": {"required": False, "help_text": "Left out: as the policy says."},
        }


@example("by letter", agreed=True, by="Osric Pondweed")
class DecisionAsked(serializers.Serializer):
    """What the client said to a change, and who."""

    agreed = serializers.BooleanField()
    by = serializers.CharField(required=False, allow_blank=True, max_length=120)


class OwedAsked(serializers.Serializer):
    """The day to look at; left out, today."""

    on = serializers.DateField(required=False)


class OwedData(serializers.Serializer):
    """An invoice that is not settled."""

    invoice = serializers.IntegerField(source="invoice.pk")
    number = serializers.CharField(source="invoice.number")
    due_on = serializers.DateField(source="invoice.due_on")
    owed = serializers.DecimalField(max_digits=18, decimal_places=3)
    days_late = serializers.IntegerField()


class AccountData(serializers.Serializer):
    """A client's account in one currency on the day."""

    client = serializers.IntegerField(source="client.pk")
    name = serializers.CharField(source="client.name")
    currency = serializers.CharField()
    owed = serializers.DecimalField(source="account.owed", max_digits=18, decimal_places=3)
    credit = serializers.DecimalField(max_digits=18, decimal_places=3)
    invoices = OwedData(many=True)


@extend_schema(tags=["money"])
class InvoiceViewSet(ReadViewSet):
    """Invoices and credit notes, as they were sent."""

    queryset = Invoice.objects.select_related("commission")
    serializer_class = InvoiceData
    write_roles = BOOK_ROLES
    filterset_fields = ["commission", "quote", "kind", "currency"]
    search_fields = ["number", "commission__title", "commission__client__name"]
    ordering_fields = ["issued_on", "due_on"]

    @extend_schema(request=InvoiceAsked, responses={201: InvoiceData}, examples=[INVOICE_EXAMPLE])
    def create(self, request: Request) -> Response:
        """Issue the invoice for a part of an accepted price, or for an agreed change."""
        asked = asked_of(InvoiceAsked, request)
        if "change" in asked:
            asked["quote"] = asked["change"].quote
        invoice = issue_invoice(on=timezone.localdate(), **asked)
        return Response(InvoiceData(invoice).data, status=201)

    @extend_schema(request=CreditAsked, responses={201: InvoiceData})
    @action(detail=True, methods=["post"])
    def credit(self, request: Request, pk: int) -> Response:
        """Take an invoice back, as a whole or in part."""
        asked = asked_of(CreditAsked, request)
        note = credit_invoice(invoice=self.get_object(), on=timezone.localdate(), **asked)
        return Response(InvoiceData(note).data, status=201)

    @extend_schema(responses=PDF)
    @action(detail=True, methods=["get"], renderer_classes=[PaperRenderer, JSONRenderer])
    def document(self, request: Request, pk: int) -> Response:
        """Return the paper as it was sent."""
        with self.get_object().document.open() as kept:
            return Response(kept.read(), content_type="application/pdf")


@extend_schema(tags=["money"])
class PaymentViewSet(ReadViewSet):
    """What came in and went back; a mistake gets a counter-payment."""

    queryset = Payment.objects.all()
    serializer_class = PaymentData
    write_roles = BOOK_ROLES
    filterset_fields = ["client", "commission", "invoice", "currency", "way"]
    search_fields = ["number", "client__name", "note"]
    ordering_fields = ["received_on"]

    @extend_schema(request=PaymentAsked, responses={201: PaymentData}, examples=[PAYMENT_EXAMPLE])
    def create(self, request: Request) -> Response:
        """Record what came in, or below 0 what went back."""
        asked = asked_of(PaymentAsked, request)
        payment = record_payment(now=timezone.now(), user=request.user, **asked)
        return Response(PaymentData(payment).data, status=201)

    @extend_schema(request=WhyGiven, responses={201: PaymentData})
    @action(detail=True, methods=["post"])
    def correct(self, request: Request, pk: int) -> Response:
        """Take back a payment that was recorded by mistake."""
        why = asked_of(WhyGiven, request)["why"]
        counter = correct_payment(
            payment=self.get_object(), why=why, now=timezone.now(), user=request.user
        )
        return Response(PaymentData(counter).data, status=201)


@extend_schema(tags=["commissions"])
class ChangeViewSet(AskedOnceMixin, mixins.CreateModelMixin, viewsets.ReadOnlyModelViewSet):
    """Changes after acceptance; declined ones are kept."""

    queryset = Change.objects.all()
    serializer_class = ChangeData
    filterset_fields = ["commission", "quote", "state"]
    search_fields = ["title"]
    ordering_fields = ["offered_on"]

    def get_queryset(self) -> QuerySet[Change]:
        return super().get_queryset().select_related("quote__commission__client", "quote__build")

    def perform_create(self, serializer: Any) -> None:
        serializer.instance = offer_change(on=timezone.localdate(), **serializer.validated_data)

    @extend_schema(request=DecisionAsked, responses=ChangeData)
    @action(detail=True, methods=["post"])
    def decide(self, request: Request, pk: int) -> Response:
        """Keep what the client said."""
        asked = asked_of(DecisionAsked, request)
        change = decide_change(change=self.get_object(), now=timezone.now(), **asked)
        return Response(ChangeData(change).data)


@extend_schema(tags=["money"])
class OwedView(ActionView):
    """Who owes what."""

    @extend_schema(
        parameters=[OwedAsked],
        responses=AccountData(many=True),
    )
    def get(self, request: Request) -> Response:
        """Return every client's account on a day, the latest first."""
        asked = OwedAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        on = asked.validated_data.get("on", timezone.localdate())
        return Response(AccountData(owed_on(on), many=True).data)
