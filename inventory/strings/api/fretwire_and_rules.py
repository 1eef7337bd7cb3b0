"""What is only worked out, and by which rules of the shop, in the API."""

from decimal import Decimal

from drf_spectacular.utils import extend_schema
from rest_framework import generics, serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.etags import VersionedMixin
from inventory.base.api.fields import DecimalField
from inventory.base.api.views import ActionView, Serializer
from inventory.base.queries import stock_rules
from inventory.models import StockRules
from inventory.strings.calc.fretwire import Fingerboard, frets_of, wire_length

LEAST, MOST = Decimal("0.001"), Decimal(10_000)


def _mm(least: Decimal = LEAST, **given: object) -> DecimalField:
    return DecimalField(
        max_digits=9,
        decimal_places=3,
        min_value=least,
        max_value=MOST,
        **given,  # type: ignore[arg-type]
    )


class FingerboardAsked(serializers.Serializer):
    """A fingerboard that tapers evenly from nut to last fret; sizes in mm."""

    scale = _mm()
    frets = serializers.IntegerField(min_value=1, max_value=60)
    nut_width = _mm()
    last_fret_width = _mm()
    overhang = _mm(Decimal(0), default=Decimal(3), help_text="On each side.")
    extra = DecimalField(
        max_digits=4,
        decimal_places=1,
        min_value=Decimal(0),
        max_value=Decimal(100),
        default=Decimal(12),
        help_text="Extra for waste, percent.",
    )


class FretData(serializers.Serializer):
    """One fret, in mm: from the nut uncompensated, from the one before, and its wire."""

    number = serializers.IntegerField()
    from_nut = _mm()
    from_last = _mm()
    wire = _mm()


class FretwireData(serializers.Serializer):
    """The wire that all frets take in mm, net and with waste, and where each lies."""

    net = DecimalField(max_digits=12, decimal_places=3)
    draw = DecimalField(max_digits=12, decimal_places=3)
    frets = FretData(many=True)


class FretwireView(ActionView):
    """Fretwire from an instrument's geometry."""

    @extend_schema(parameters=[FingerboardAsked], responses=FretwireData)
    def get(self, request: Request) -> Response:
        """Work out how much wire the frets of a fingerboard take; equal temperament."""
        asked = FingerboardAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        sizes = dict(asked.validated_data)
        extra = sizes.pop("extra") / 100
        board = Fingerboard(**sizes)
        net = wire_length(board)
        return Response(
            FretwireData({"net": net, "draw": net * (1 + extra), "frets": frets_of(board)}).data
        )


class StockRulesData(Serializer):
    """When wood is ready, which piece comes first, what the saw takes, how labels lie."""

    class Meta:
        model = StockRules
        exclude = ["id"]


class StockRulesView(VersionedMixin, generics.RetrieveUpdateAPIView):
    """The shop's own rules for its stock."""

    serializer_class = StockRulesData
    http_method_names = ["get", "patch", "head", "options"]

    def get_object(self) -> StockRules:
        return stock_rules()
