"""What is only worked out, and by which rules of the shop, in the API."""

from decimal import Decimal

from drf_spectacular.utils import extend_schema
from rest_framework import generics, serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.etags import VersionedMixin
from inventory.base.api.fields import DecimalField, PercentAsShareField, ShareField
from inventory.base.api.views import ActionView, Serializer
from inventory.base.queries import stock_rules
from inventory.models import StockRules
from inventory.strings.calc.fretwire import Fingerboard, frets_of, wire_length

LEAST, MOST = Decimal("0.001"), Decimal(10_000)
MOISTURE = "Of moisture content"


def _mm(least: Decimal = LEAST, **given: object) -> DecimalField:
    return DecimalField(
        max_digits=9,
        decimal_places=3,
        min_value=least,
        max_value=MOST,
        **given,  # type: ignore[arg-type]
    )


def _share(least: str, most: str, **given: object) -> PercentAsShareField:
    return PercentAsShareField(
        min_value=Decimal(least), max_value=Decimal(most), required=False, **given
    )


class FingerboardAsked(serializers.Serializer):
    """A fingerboard that tapers evenly from nut to last fret; sizes in mm."""

    scale = _mm()
    frets = serializers.IntegerField(min_value=1, max_value=60)
    nut_width = _mm()
    last_fret_width = _mm()
    overhang = _mm(Decimal(0), default=Decimal(3), help_text="On each side.")
    extra = ShareField(default=Decimal("0.12"), help_text="Extra for waste.")


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
        extra = sizes.pop("extra")
        board = Fingerboard(**sizes)
        net = wire_length(board)
        return Response(
            FretwireData({"net": net, "draw": net * (1 + extra), "frets": frets_of(board)}).data
        )


class StockRulesData(Serializer):
    """When wood is ready, which piece comes first, what the saw takes, how labels lie."""

    ready_within = _share("0.00001", "0.1", help_text="How far masses may differ.")
    ready_near = _share("0.001", "0.1", help_text=f"{MOISTURE} from the equilibrium.")
    meter_doubt = _share(
        "0.001", "0.1", help_text=f"{MOISTURE}; two readings in three are within this. No source."
    )
    air_swing = _share(
        "0", "0.1", help_text=f"{MOISTURE} in a year; more without controlled air. No source."
    )
    shop_humidity = _share("0", "1", help_text="Relative humidity.")
    service_level = _share("0.5", "0.999", help_text="Orders that come before stock runs out.")
    holding_share = _share(
        "0.001", "2", source="holding_percent", help_text="Of the price, to keep it for a year."
    )

    class Meta:
        model = StockRules
        exclude = ["id", "holding_percent"]


class StockRulesView(VersionedMixin, generics.RetrieveUpdateAPIView):
    """The shop's own rules for its stock."""

    serializer_class = StockRulesData
    http_method_names = ["get", "patch", "head", "options"]

    def get_object(self) -> StockRules:
        return stock_rules()
