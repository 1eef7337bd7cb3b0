"""What a quote's price risks, in the API."""

from decimal import Decimal

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.fields import DecimalField, PercentAsShareField
from inventory.base.api.views import ActionView
from quotes.models import Quote

BELOW_WANTED, BELOW_NOTHING = "Chance of earning less than wanted.", "Chance of losing money."


def amount_field(**shape: object) -> DecimalField:
    """Return a field for money."""
    return DecimalField(max_digits=18, decimal_places=3, **shape)  # type: ignore[arg-type]


class RiskQuery(serializers.Serializer):
    """A net price (left out: the quote's own), the chance wanted, and what is taken for granted."""

    price = amount_field(required=False, allow_null=True, default=None)
    chance = PercentAsShareField(
        default=Decimal("0.80"), max_value=Decimal("0.99"), help_text="The chance wanted."
    )
    prices_move = PercentAsShareField(
        default=Decimal("0.05"), help_text="How far prices of materials move in a year."
    )
    money_moves = PercentAsShareField(
        default=Decimal("0.04"), help_text="How far the exchange rate moves."
    )
    redo_hours = DecimalField(max_digits=5, decimal_places=2, min_value=0, default=Decimal(2))
    redo_varies = PercentAsShareField(
        default=Decimal("0.40"), help_text="How far rework hours vary from one time to the next."
    )


class SpreadData(serializers.Serializer):
    """Money per hour at the 10th, 50th and 90th percentile."""

    low = amount_field()
    middle = amount_field()
    high = amount_field()


class ChancePointData(serializers.Serializer):
    """Both chances at one price."""

    price = DecimalField(max_digits=18, decimal_places=4)
    below_wanted = PercentAsShareField(help_text=BELOW_WANTED)
    below_nothing = PercentAsShareField(help_text=BELOW_NOTHING)


class PriceRiskData(serializers.Serializer):
    """What one net price risks."""

    price = amount_field()
    below_wanted = PercentAsShareField(help_text=BELOW_WANTED)
    below_nothing = PercentAsShareField(help_text=BELOW_NOTHING)
    hourly = SpreadData()
    earned = SpreadData()


class MayFailData(serializers.Serializer):
    """What may go wrong, how often, and what each time costs in hours and material."""

    name = serializers.CharField()
    stage = serializers.CharField()
    chance = serializers.CharField(source="chance_words")
    hours = DecimalField(max_digits=8, decimal_places=2)
    cost = amount_field()


class RiskData(serializers.Serializer):
    """The risk of a price, the price that reaches the chance wanted, and both chances along."""

    quoted = amount_field()
    risk = PriceRiskData()
    reaching = amount_field()
    wanted = DecimalField(max_digits=18, decimal_places=4)
    overhead = DecimalField(max_digits=18, decimal_places=4)
    whose = serializers.CharField()
    failures = MayFailData(many=True)
    curve = ChancePointData(many=True)


@extend_schema(tags=["quotes"])
class QuoteRiskView(ActionView):
    """The risk of a quote's price."""

    @extend_schema(parameters=[RiskQuery], responses=RiskData)
    def get(self, request: Request, pk: int) -> Response:
        """Return what a price risks, from 60,000 runs; the same question, the same answer."""
        # NumPy and SciPy are loaded here, when somebody asks.
        from quotes.risk.queries import RiskAsked, risk_sheet

        asked = RiskQuery(data=request.query_params)
        asked.is_valid(raise_exception=True)
        quote = get_object_or_404(Quote.objects.select_related("template"), pk=pk)
        sheet = risk_sheet(quote, RiskAsked(**asked.validated_data), on=timezone.localdate())
        return Response(RiskData(sheet).data)
