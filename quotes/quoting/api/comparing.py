"""Two quotes side by side, and the confirmation of an order, in the API."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.fields import DecimalField
from inventory.base.api.paper import PAPER_RENDERERS, PDF
from inventory.base.api.views import ActionView
from quotes.changes.documents import confirmation_paper
from quotes.changes.queries import specification_steps
from quotes.models import Quote
from quotes.papers.documents.printing import print_paper
from quotes.quoting.queries.versions import side_by_side

MONEY: dict[str, Any] = {"max_digits": 18, "decimal_places": 3}
HOME = "In the workshop's currency."


class DifferenceData(serializers.Serializer):
    """A step that differs; `before` is null for an added one and `after` for a removed one."""

    name = serializers.CharField()
    change = serializers.CharField(source="change.value", help_text="added, removed or changed.")
    before = DecimalField(allow_null=True, help_text=HOME, **MONEY)
    after = DecimalField(allow_null=True, help_text=HOME, **MONEY)
    amount = DecimalField(help_text=f"How much more it is now. {HOME}", **MONEY)
    how_before = serializers.CharField()
    how_after = serializers.CharField()
    parts = serializers.SerializerMethodField()

    @extend_schema_field(serializers.ListField(child=serializers.CharField()))
    def get_parts(self, difference: Any) -> list[str]:
        return [part.name for part in difference.parts]


class WordLineData(serializers.Serializer):
    """A line of the specifications: in `both`, only `before`, or only `after`."""

    mark = serializers.CharField()
    text = serializers.CharField()


class SideData(serializers.Serializer):
    """One of the two, with the changes that were agreed to it."""

    quote = serializers.IntegerField(source="quote.pk")
    name = serializers.CharField(source="label")
    currency = serializers.CharField(source="offer.currency")
    price = DecimalField(source="offer.sheet.price", help_text=f"Net. {HOME}", **MONEY)
    changed = DecimalField(
        help_text="What agreed changes come to, with tax, in the client's currency.", **MONEY
    )
    gross = DecimalField(help_text="All the client pays, in the client's currency.", **MONEY)
    ready_on = serializers.DateField(allow_null=True)


class SideBySideData(serializers.Serializer):
    """Two quotes with the steps of their prices and the words that differ."""

    before = SideData()
    after = SideData()
    net_more = DecimalField(help_text=f"By how much the price differs, net. {HOME}", **MONEY)
    gross_more = DecimalField(
        allow_null=True,
        help_text="By how much what the client pays differs; null between two currencies.",
        **MONEY,
    )
    differences = DifferenceData(many=True)
    words = WordLineData(many=True)


@extend_schema(tags=["quotes"])
class SideBySideView(ActionView):
    """Two quotes compared."""

    @extend_schema(responses=SideBySideData)
    def get(self, request: Request, pk: int, other_pk: int) -> Response:
        """Compare a quote with another; beside itself, as ordered with as it is built now."""
        rows = Quote.objects.select_related("template", "build")
        before, after = get_object_or_404(rows, pk=pk), get_object_or_404(rows, pk=other_pk)
        return Response(SideBySideData(side_by_side(before, after, timezone.localdate())).data)


class SpecificationStepData(serializers.Serializer):
    """A step of a specification's history, the order first: what was agreed, when and by whom."""

    at = serializers.DateTimeField(allow_null=True)
    by = serializers.CharField()
    title = serializers.CharField()
    words = serializers.CharField()
    record = serializers.CharField(
        help_text="Whether it was by a link, and the paper by the beginning of its hash."
    )
    change = serializers.IntegerField(source="change.pk", default=None, allow_null=True)


@extend_schema(tags=["quotes"])
class SpecificationStepsView(ActionView):
    """How the specification came to be what it is."""

    @extend_schema(responses=SpecificationStepData(many=True))
    def get(self, request: Request, pk: int) -> Response:
        """List what was ordered and each change that was agreed since."""
        quote = get_object_or_404(Quote, pk=pk)
        return Response(SpecificationStepData(specification_steps(quote), many=True).data)


@extend_schema(tags=["quotes"])
class ConfirmationView(ActionView):
    """The confirmation of an order."""

    renderer_classes = PAPER_RENDERERS

    @extend_schema(responses=PDF)
    def get(self, request: Request, pk: int) -> Response:
        """Return the confirmation of an accepted quote (PDF); others have none (404).

        A further instrument is confirmed with its order, at the order's address.
        """
        rows = Quote.offers.select_related("build")
        quote = get_object_or_404(rows, pk=pk, state=Quote.State.ACCEPTED)
        on = timezone.localdate(quote.decided_at)
        paper = confirmation_paper(quote, on)
        printed = print_paper("quotes/papers/confirmation.html", paper, made_on=f"{on}")
        return Response(printed, content_type="application/pdf")
