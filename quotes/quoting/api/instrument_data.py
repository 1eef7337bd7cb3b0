"""What the API asks about several instruments in one order."""

from decimal import Decimal
from typing import Any

from rest_framework import serializers

from inventory.base.api.examples import example
from inventory.base.api.fields import ShareField
from quotes.models import Quote
from shop.models import BuildTemplate


@example("the second of a pair", is_same=True, title="Mandolin in maple", batch_saving="0.1500")
class InstrumentAsked(serializers.Serializer):
    """A further instrument of a draft: as the first one, or from a template."""

    is_same = serializers.BooleanField(default=False, help_text="Copy the first instrument's rows.")
    template = serializers.PrimaryKeyRelatedField(
        queryset=BuildTemplate.objects.filter(is_archived=False), required=False, allow_null=True
    )
    title = serializers.CharField(required=False, allow_blank=True, max_length=160)
    batch_saving = ShareField(
        required=False,
        max_value=Decimal("0.9999"),
        help_text="Of its hours, what making it beside the first one saves.",
    )

    def validate(self, asked: dict[str, Any]) -> dict[str, Any]:
        if not (asked.get("is_same") or asked.get("template") or asked.get("title")):
            raise serializers.ValidationError({"title": "Give a title, or a template."})
        return asked


@example("the third before the second", keys=[14, 13])
class InstrumentOrderAsked(serializers.Serializer):
    """The further instruments of a draft in their new order, each named once."""

    keys = serializers.ListField(child=serializers.IntegerField())


@example("another draft", quote=14)
class JoinAsked(serializers.Serializer):
    """Another draft of the same commission."""

    quote = serializers.PrimaryKeyRelatedField(
        queryset=Quote.objects.select_related("commission__client")
    )


@example("the second of a pair", build=8, serial="2027-08")
class FurtherBuildData(serializers.Serializer):
    """The build of a further instrument."""

    build = serializers.IntegerField(source="pk")
    serial = serializers.CharField()
