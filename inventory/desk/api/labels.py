"""Labels in the API, as the desk prints them."""

from django.urls import reverse
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.addresses import phone_address
from inventory.base.api.paper import PAPER_RENDERERS, PDF
from inventory.base.api.views import ActionView
from inventory.desk.documents import (
    MOST_LABELS,
    Label,
    label_of,
    label_sheet,
    numbered_lots,
    sheet_now,
    single_label,
)
from inventory.models import Lot


class LabelsAsked(serializers.Serializer):
    """Which labels, and how much of the first sheet is used up."""

    lot = serializers.ListField(
        child=serializers.CharField(max_length=20),
        min_length=1,
        max_length=MOST_LABELS,
        help_text="Numbers of lots and pieces, the parameter once for each.",
    )
    skip = serializers.IntegerField(
        required=False,
        default=0,
        min_value=0,
        max_value=9999,
        help_text="How many places of the first sheet are used up already.",
    )


class LabelsView(ActionView):
    """A sheet of labels."""

    renderer_classes = PAPER_RENDERERS

    @extend_schema(parameters=[LabelsAsked], responses=PDF)
    def get(self, request: Request) -> Response:
        """Return labels in the grid of the workshop's sheets (PDF)."""
        asked = LabelsAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        numbers = asked.validated_data["lot"]
        lots = list(numbered_lots().filter(number__in=numbers))
        if unknown := sorted({*numbers} - {lot.number for lot in lots}):
            raise serializers.ValidationError({"lot": f"There is no {unknown[0]}."})
        labels = [_label(request, lot) for lot in lots]
        printed = label_sheet(labels, sheet_now(), asked.validated_data["skip"])
        return Response(printed, content_type="application/pdf")


class LabelView(ActionView):
    """One label."""

    renderer_classes = PAPER_RENDERERS

    @extend_schema(responses=PDF)
    def get(self, request: Request, number: str) -> Response:
        """Return the label on a page of its own size (PDF)."""
        lot = get_object_or_404(numbered_lots(), number=number)
        printed = single_label(_label(request, lot), sheet_now())
        return Response(printed, content_type="application/pdf")


def _label(request: Request, lot: Lot) -> Label:
    address = phone_address(request._request, reverse("bench_piece", args=[lot.number]))
    return label_of(lot, address)
