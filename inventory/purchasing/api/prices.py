"""Prices of a material in the API: their history, breaks, the next one, and when to buy."""

from decimal import Decimal

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema, extend_schema_serializer
from rest_framework import serializers
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.examples import example
from inventory.base.api.fields import DecimalField, HappenedField, PercentAsShareField
from inventory.base.api.views import ActionView, EditViewSet, Serializer
from inventory.base.roles import BOOK_ROLES
from inventory.models import Material, PriceBreak, PriceNote
from inventory.purchasing.queries.advice import buying_advice
from inventory.purchasing.queries.deliveries import price_history
from inventory.shelf.services.records import record_price


def _price(**given: object) -> DecimalField:
    return DecimalField(
        max_digits=14,
        decimal_places=4,
        min_value=Decimal(0),
        **given,  # type: ignore[arg-type]
    )


class PriceNoteData(Serializer):
    """A price that was noted, of one unit as shown."""

    is_taken_back = serializers.BooleanField(
        help_text="From a delivery that was reversed: nothing was bought at this price."
    )

    class Meta:
        model = PriceNote
        fields = ["noted_on", "kind", "supplier", "price", "is_taken_back"]


@example("from ten on", material=3, least="10", price="4.20")
class PriceBreakData(Serializer):
    """From so many base units on one unit as shown costs so much, in the supplier's money."""

    class Meta:
        model = PriceBreak
        fields = ["id", "material", "least", "price"]
        extra_kwargs = {
            "least": {"min_value": Decimal("0.001")},
            "price": {"min_value": Decimal(0)},
        }


class PricesData(serializers.Serializer):
    """What a material has cost, what it costs now, and at once."""

    replacement_price = _price(allow_null=True)
    replacement_checked_on = serializers.DateField(allow_null=True)
    realisable_price = _price(allow_null=True)
    noted = PriceNoteData(many=True)
    breaks = PriceBreakData(many=True)


@extend_schema_serializer(
    examples=[OpenApiExample("machine heads", value={"price": "74.00", "on": "2027-03-20"})]
)
class PriceNoteAsked(serializers.Serializer):
    """What the next one costs, of one unit as shown, landed; and what one would fetch."""

    price = _price(allow_null=True)
    realisable = _price(required=False, allow_null=True)
    on = HappenedField(required=False, help_text="The day the price was checked; default: today.")


class AdviceData(serializers.Serializer):
    """When to buy more of a material: a level in base units, and the use of past whole months."""

    level = DecimalField(max_digits=18, decimal_places=3)
    months = serializers.ListField(
        child=DecimalField(max_digits=18, decimal_places=6),
        help_text="In the unit as shown, oldest first.",
    )
    draws = serializers.IntegerField(help_text="Draws from which use is known.")
    days = serializers.IntegerField(source="use.days", help_text="Days in which they came.")
    runs_out = PercentAsShareField(
        allow_null=True,
        help_text="Of orders, those before which stock runs out at that level; null where draws "
        "come too regularly to be taken as random.",
    )
    no_size = serializers.CharField(help_text="Reason why no best order size is known.")


class PriceBreakViewSet(EditViewSet):
    """What costs less in greater number."""

    queryset = PriceBreak.objects.order_by("material", "least")
    serializer_class = PriceBreakData
    filterset_fields = ["material"]
    write_roles = BOOK_ROLES


class PricesView(ActionView):
    """Prices of a material."""

    write_roles = BOOK_ROLES

    @extend_schema(responses=PricesData)
    def get(self, request: Request, pk: int) -> Response:
        """Return the prices that were noted, the oldest first, and the breaks."""
        return Response(_prices(get_object_or_404(Material, pk=pk)))

    @extend_schema(request=PriceNoteAsked, responses={201: PricesData})
    def post(self, request: Request, pk: int) -> Response:
        """Note a price; issued quotes stay as they are."""
        material = get_object_or_404(Material, pk=pk)
        asked = validated_body(PriceNoteAsked, request)
        noted = record_price(
            material=material,
            price=asked["price"],
            realisable=asked.get("realisable", material.realisable_price),
            on=asked.get("on") or timezone.localdate(),
        )
        return Response(_prices(noted), status=201)


class AdviceView(ActionView):
    """When to buy."""

    @extend_schema(responses=AdviceData)
    def get(self, request: Request, pk: int) -> Response:
        """Return the level to buy at; refused where nothing was used or no lead time is known."""
        material = get_object_or_404(Material.objects.select_related("supplier"), pk=pk)
        return Response(AdviceData(buying_advice(material, timezone.localdate())).data)


def _prices(material: Material) -> dict[str, object]:
    fields = ("replacement_price", "replacement_checked_on", "realisable_price")
    shown = {name: getattr(material, name) for name in fields}
    shown |= {"noted": price_history(material), "breaks": material.price_breaks.order_by("least")}
    return dict(PricesData(shown).data)
