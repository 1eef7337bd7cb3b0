"""Prices of many materials in one call of the API."""

from decimal import Decimal

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema, extend_schema_serializer
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.fields import DecimalField, HappenedField
from inventory.base.api.views import ActionView
from inventory.base.roles import BOOK_ROLES
from inventory.ledger.refusals import check_in_use
from inventory.models import Material
from inventory.purchasing.queries.price_table import MOST_ROWS, PriceChange
from inventory.shelf.services.records import record_prices


def _price(words: str) -> DecimalField:
    return DecimalField(
        max_digits=14,
        decimal_places=4,
        min_value=Decimal(0),
        required=False,
        allow_null=True,
        default=None,
        help_text=words,
    )


class PriceOfOne(serializers.Serializer):
    """The prices of one material, of one unit as shown; what is left out stays."""

    material = serializers.IntegerField(help_text="Key of a material in use.")
    price = _price("Replacement price in the workshop's currency, landed.")
    realisable = _price("Realisable value of one unit in the workshop's currency.")


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "A new price list",
            value={"on": "2027-03-20", "prices": [{"material": 1, "price": "74.00"}]},
        )
    ]
)
class PricesAsked(serializers.Serializer):
    """Prices of many materials as checked on one day."""

    on = HappenedField(required=False, help_text="The day they were checked; default: today.")
    preview = serializers.BooleanField(
        default=False, help_text="Answer what would change, and save nothing."
    )
    prices = PriceOfOne(many=True, allow_empty=False)

    def validate_prices(self, rows: list[dict]) -> list[dict]:
        if len(rows) > MOST_ROWS:
            raise serializers.ValidationError(f"Send at most {MOST_ROWS} prices at once.")
        keys = {row["material"] for row in rows}
        if len(keys) < len(rows):
            raise serializers.ValidationError("A material is in the list twice.")
        known = Material.objects.in_bulk(keys)
        if unknown := keys - set(known):
            wrong = {"material": [f"There is no material with the key {min(unknown)}."]}
            blamed = [wrong if row["material"] in unknown else {} for row in rows]
            raise serializers.ValidationError(blamed)
        return [row | {"material": known[row["material"]]} for row in rows]


class PriceChanged(serializers.Serializer):
    """A material with its prices before and after."""

    material = serializers.IntegerField()
    price_before = DecimalField(
        max_digits=14, decimal_places=4, allow_null=True, help_text="Replacement price so far."
    )
    price = DecimalField(
        max_digits=14, decimal_places=4, allow_null=True, help_text="Null where it stays."
    )
    realisable_before = DecimalField(
        max_digits=14, decimal_places=4, allow_null=True, help_text="Realisable value so far."
    )
    realisable = DecimalField(
        max_digits=14, decimal_places=4, allow_null=True, help_text="Null where it stays."
    )


class PriceTableView(ActionView):
    """Prices of many materials at once."""

    write_roles = BOOK_ROLES

    @extend_schema(request=PricesAsked, responses=PriceChanged(many=True))
    def post(self, request: Request) -> Response:
        """Note prices of many materials; with `preview` nothing is saved."""
        asked = validated_body(PricesAsked, request)
        changes = [PriceChange(**row) for row in asked["prices"]]
        answer = [_changed(change) for change in changes]
        if asked["preview"]:
            check_in_use(change.material for change in changes)
        else:
            on = asked.get("on") or timezone.localdate()
            record_prices(prices=[change.to_save() for change in changes], on=on)
        return Response(PriceChanged(answer, many=True).data)


def _changed(change: PriceChange) -> dict[str, object]:
    return {
        "material": change.material.pk,
        "price_before": change.material.replacement_price,
        "price": change.price,
        "realisable_before": change.material.realisable_price,
        "realisable": change.realisable,
    }
