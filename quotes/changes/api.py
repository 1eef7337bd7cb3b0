"""Change orders in the API."""

from typing import Any

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers, viewsets
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.examples import example
from inventory.base.api.idempotency import IdempotentMixin
from inventory.base.api.paper import PAPER_RENDERERS, PDF
from inventory.base.api.views import Serializer
from quotes.changes.documents import change_pdf
from quotes.changes.services import MaterialAsked, offer_change, record_change_decision
from quotes.invoicing.api.money_data import ChangeMaterialData
from quotes.models import Change
from shop.models import BuildStage
from shop.patterns.api.template_data import SpecRowData
from shop.patterns.calc import SpecRow


class ReplacedRowData(SpecRowData):
    """A row of the specification that a change replaces."""

    before = serializers.CharField(read_only=True, help_text="What it said before.")


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
    """A change after acceptance; what it brings is on the build once it is agreed."""

    before = serializers.PrimaryKeyRelatedField(
        queryset=BuildStage.objects.all(),
        required=False,
        allow_null=True,
        help_text="The stage of the build that its hours come before; if omitted, they come last.",
    )
    materials = ChangeMaterialData(many=True, required=False)
    replaces = ReplacedRowData(
        source="rows",
        many=True,
        required=False,
        help_text="Rows of the specification as they are to be; an empty value leaves one out.",
    )

    class Meta:
        model = Change
        fields = [
            "id", "commission", "quote", "number", "state", "title", "words", "replaces", "hours",
            "before", "stage", "cost", "materials", "price", "tax_kind", "tax_rate", "days_added",
            "is_paid_ahead", "is_billed", "offered_on", "decided_at", "decided_by",
            "document_sha256",
        ]  # fmt: skip
        read_only_fields = [
            "commission", "number", "state", "stage", "offered_on", "decided_at", "decided_by",
            "document_sha256",
        ]  # fmt: skip
        extra_kwargs = {
            "price": {
                "required": False,
                "help_text": "Net, in the quote's currency; calculated if omitted.",
            },
            "is_paid_ahead": {
                "required": False,
                "help_text": "If omitted, as in the pricing policy.",
            },
        }


@example("by letter", agreed=True, by="Osric Pondweed")
class DecisionAsked(serializers.Serializer):
    """What the client said to a change, and who."""

    agreed = serializers.BooleanField()
    by = serializers.CharField(required=False, allow_blank=True, max_length=120)


@extend_schema(tags=["commissions"])
class ChangeViewSet(IdempotentMixin, mixins.CreateModelMixin, viewsets.ReadOnlyModelViewSet):
    """Changes after acceptance; declined ones are kept."""

    queryset = Change.objects.all()
    serializer_class = ChangeData
    filterset_fields = ["commission", "quote", "state"]
    search_fields = ["title"]
    ordering_fields = ["offered_on"]

    def get_queryset(self) -> QuerySet[Change]:
        rows = super().get_queryset().select_related("quote__commission__client", "quote__build")
        return rows.prefetch_related("materials").defer("frozen", "quote__frozen")

    def perform_create(self, serializer: Any) -> None:
        asked = serializer.validated_data
        materials = [MaterialAsked(**one) for one in asked.pop("materials", ())]
        rows = [SpecRow(**one) for one in asked.pop("rows", ())]
        serializer.instance = offer_change(
            on=timezone.localdate(), materials=materials, replaces=rows, **asked
        )

    @extend_schema(responses=PDF)
    @action(detail=True, methods=["get"], renderer_classes=PAPER_RENDERERS)
    def document(self, request: Request, pk: int) -> Response:
        """Return the paper as it was offered."""
        return Response(change_pdf(self.get_object()), content_type="application/pdf")

    @extend_schema(request=DecisionAsked, responses=ChangeData)
    @action(detail=True, methods=["post"])
    def decide(self, request: Request, pk: int) -> Response:
        """Keep what the client said."""
        asked = validated_body(DecisionAsked, request)
        change = record_change_decision(change=self.get_object(), now=timezone.now(), **asked)
        return Response(ChangeData(change).data)
