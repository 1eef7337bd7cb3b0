"""How quotes look in the API."""

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from inventory.base.api.examples import example
from inventory.base.api.fields import ApiLotField, DecimalField
from inventory.base.api.views import Serializer
from quotes.models import (
    Client,
    Commission,
    Quote,
    QuoteExtra,
    QuoteFailure,
    QuoteMaterial,
    QuoteSpec,
    QuoteStage,
)
from quotes.pricing.api import PartsField, fee_field
from shop.estimates.calc.quoting import LEVELS
from shop.models import BuildTemplate

EDITABLE = [
    "title", "specification", "options", "offered", "shop_rate", "material_markup",
    "contingency", "contingency_by", "rush", "fee_share", "fee_fixed", "dealer_discount",
    "price_step", "prices_with_tax", "bought_tax_rate", "shipping", "tax_kind", "tax_rate",
    "shipping_tax_rate", "currency", "exchange_rate", "exchange_rate_on",
    "currency_buffer", "client_step",
    "parts", "is_time_and_materials", "valid_days", "ready_on", "terms", "batch_saving",
]  # fmt: skip


class QuoteStageData(Serializer):
    """Hours quoted for one stage."""

    class Meta:
        model = QuoteStage
        fields = [
            "id", "position", "name", "hours", "hours_low", "hours_high", "waiting_days", "basis",
            "option",
        ]  # fmt: skip
        read_only_fields = ["position", "option"]


class MaterialData(Serializer):
    """A material of a quote with its waste rule; a piece goes by its number."""

    lot = ApiLotField(required=False, allow_null=True)

    class Meta:
        model = QuoteMaterial
        fields = [
            "id", "position", "name", "family", "material", "lot", "quantity", "unit",
            "seed_cost", "cost_override", "markup", "waste_rule", "waste_rate", "spares",
            "cut_length_mm", "stock_length_mm", "kerf_mm", "least_remnant_mm", "option",
            "tax_kind", "tax_rate",
        ]  # fmt: skip
        read_only_fields = ["position", "option"]


class ExtraData(Serializer):
    """A line of the maker's own."""

    class Meta:
        model = QuoteExtra
        fields = ["id", "kind", "name", "cost", "markup", "tax_kind", "tax_rate"]


@example("a carve-through", name="Carved through the top", stage=12, one_in=25, lost=[31])
class FailureData(Serializer):
    """What may go wrong in a stage of a quote: how often, what is redone, what is lost."""

    class Meta:
        model = QuoteFailure
        fields = ["id", "name", "stage", "one_in", "hours", "redo_from", "lost"]


@example("nut width", name="Nut width", value="28.6", unit="mm", is_asked=True)
class SpecData(Serializer):
    """A row of a quote's specification; the piece chosen for its `material` row fills it."""

    class Meta:
        model = QuoteSpec
        fields = ["name", "value", "unit", "choices", "is_asked", "material", "option"]


@example(
    "two rows",
    rows=[
        {"name": "Nut width", "value": "28.6", "unit": "mm", "is_asked": True},
        {"name": "Hand", "value": "left", "choices": "right; left"},
    ],
    text="Chambers as on the sample.",
)
class SpecificationAsked(serializers.Serializer):
    """All rows of a specification, in order, and the words beside them."""

    rows = SpecData(many=True)
    text = serializers.CharField(required=False, allow_blank=True)


class SaidData(serializers.Serializer):
    """A row of a specification as the client reads it; without a name where words stand alone."""

    name = serializers.CharField()
    words = serializers.CharField()


class SpecificationData(serializers.Serializer):
    """A specification: its rows, what it says with options and pieces, and what is missing."""

    rows = SpecData(many=True)
    text = serializers.CharField()
    says = SaidData(many=True)
    missing = serializers.ListField(child=serializers.CharField())


class ListedQuoteData(Serializer):
    """A quote in a list; `gross` is there once it was sent."""

    client = serializers.IntegerField(source="commission.client_id", read_only=True)
    client_name = serializers.CharField(source="commission.client.name", read_only=True)

    class Meta:
        model = Quote
        fields = [
            "id", "number", "version", "state", "title", "commission", "client", "client_name",
            "template", "currency", "gross", "drafted_on", "issued_on", "valid_until",
            "held_until", "build",
        ]  # fmt: skip
        read_only_fields = fields


class QuoteData(ListedQuoteData):
    """A quote with its rows; a draft's own figures may be changed."""

    options = serializers.ListField(child=serializers.CharField(), required=False)
    offered = serializers.ListField(child=serializers.CharField(), required=False)
    one_of = serializers.DictField(child=serializers.CharField(), read_only=True)
    fee_share = fee_field()
    parts = PartsField(required=False)
    stages = QuoteStageData(many=True, read_only=True)
    materials = MaterialData(many=True, read_only=True)
    extras = ExtraData(many=True, read_only=True)
    failures = FailureData(many=True, read_only=True)
    further = serializers.SerializerMethodField(
        help_text="Further instruments of the same order, each a quote that is `part_of` this one."
    )

    def get_further(self, quote: Quote) -> list[int]:
        return [one.pk for one in quote.instruments[1:]]

    class Meta(ListedQuoteData.Meta):
        fields = [
            *dict.fromkeys([*ListedQuoteData.Meta.fields, *EDITABLE]),
            "one_of", "decided_at", "decided_by", "decline_reason", "document_sha256",
            "stages", "materials", "extras", "failures", "part_of", "further",
        ]  # fmt: skip
        read_only_fields = [name for name in fields if name not in EDITABLE]


class FigureData(serializers.Serializer):
    """An amount, how it came about, and the figures it is the sum of."""

    name = serializers.CharField()
    amount = DecimalField(max_digits=18, decimal_places=3)
    how = serializers.CharField()
    key = serializers.CharField()
    parts = serializers.SerializerMethodField()

    @extend_schema_field({"type": "array", "items": {"$ref": "#/components/schemas/FigureData"}})
    def get_parts(self, figure: Any) -> Any:
        return FigureData(figure.parts, many=True).data


class ContingencyUseData(serializers.Serializer):
    """The contingency kept in a price, what it went on and what is left; below 0: too little."""

    kept = DecimalField(max_digits=18, decimal_places=3)
    used = FigureData()
    left = DecimalField(max_digits=18, decimal_places=3)


class PartData(serializers.Serializer):
    """A part of the price, in the client's money."""

    name = serializers.CharField()
    amount = DecimalField(max_digits=18, decimal_places=3)


class PriceData(serializers.Serializer):
    """A quote's price and everything behind it, for the maker.

    `hours` and `price` are of this instrument; nets, tax, gross and parts of the whole order, which
    stands at its first instrument. Those of a further one are its own alone, and it has no parts.
    """

    home_currency = serializers.CharField()
    currency = serializers.CharField()
    hours = DecimalField(source="sheet.hours", max_digits=9, decimal_places=2)
    steps = FigureData(source="sheet.steps", many=True)
    price = DecimalField(
        source="sheet.price",
        max_digits=18,
        decimal_places=3,
        help_text="Of the instrument, net, with the options that the client chose, in the "
        "workshop's currency; without shipping and what is sold beside it.",
    )
    home_net = DecimalField(source="sheet.net", max_digits=18, decimal_places=3)
    client_net = FigureData(source="client_price.net", default=None, allow_null=True)
    net = DecimalField(source="document.net", max_digits=18, decimal_places=3)
    tax = DecimalField(source="document.tax", max_digits=18, decimal_places=3)
    gross = DecimalField(source="document.due", max_digits=18, decimal_places=3)
    parts = PartData(many=True)
    ready_on = serializers.DateField(allow_null=True)
    ready_because = serializers.CharField()


class SafeDayData(serializers.Serializer):
    """Days that are kept in 50, 80 and 90 of 100 cases."""

    day_50 = serializers.DateField()
    day_80 = serializers.DateField()
    day_90 = serializers.DateField()
    by_week = serializers.BooleanField(help_text="The cases differ too much to tell days.")


class RushPriceData(serializers.Serializer):
    """Hours beyond the usual week that keep the dates of the others, and what they come to, net."""

    hours_a_week = serializers.IntegerField()
    until = serializers.DateField()
    hours = DecimalField(max_digits=9, decimal_places=2)
    amount = DecimalField(max_digits=18, decimal_places=3)


class IfAcceptedData(serializers.Serializer):
    """The quoted instrument at the end of the queue, and as a rush order on its first place."""

    place = serializers.IntegerField()
    forecast = SafeDayData()
    rushed = SafeDayData()
    others_later = serializers.IntegerField(
        source="first.later", help_text="Days that a rush makes the others later, added up."
    )
    rush_price = RushPriceData(allow_null=True)


class DraftAsked(serializers.Serializer):
    """What to draft: for a commission, or for a client, who then gets a new one."""

    commission = serializers.PrimaryKeyRelatedField(
        queryset=Commission.objects.select_related("client"), required=False
    )
    client = serializers.PrimaryKeyRelatedField(queryset=Client.objects.all(), required=False)
    template = serializers.PrimaryKeyRelatedField(
        queryset=BuildTemplate.objects.filter(is_archived=False), required=False, allow_null=True
    )
    title = serializers.CharField(required=False, allow_blank=True, max_length=160)
    specification = serializers.CharField(required=False, allow_blank=True)
    options = serializers.ListField(child=serializers.CharField(), required=False)
    level = serializers.ChoiceField(
        choices=list(LEVELS.items()),
        required=False,
        help_text="Hours from past builds at this level; if omitted, the template's likely hours.",
    )

    def validate(self, asked: dict[str, Any]) -> dict[str, Any]:
        if not asked.get("commission") and not asked.get("client"):
            raise serializers.ValidationError({"client": "Give a commission or a client."})
        if not asked.get("commission") and not asked.get("title") and not asked.get("template"):
            raise serializers.ValidationError({"title": "Give a title, or a template."})
        return asked


class RowChangeAsked(serializers.Serializer):
    """Rows to change, each a JSON object with its `id` and the fields to write."""

    stages = QuoteStageData(many=True, required=False, partial=True)
    materials = MaterialData(many=True, required=False, partial=True)
    extras = ExtraData(many=True, required=False, partial=True)


class ChoiceData(serializers.Serializer):
    """An option and what switching it alone changes; the net opens to its steps."""

    name = serializers.CharField()
    is_on = serializers.BooleanField()
    is_offered = serializers.BooleanField()
    one_of = serializers.CharField()
    net = DecimalField(max_digits=18, decimal_places=3)
    client_net = DecimalField(max_digits=18, decimal_places=3)
    hours = DecimalField(max_digits=9, decimal_places=2)
    days = serializers.IntegerField()
    steps = FigureData(many=True)
