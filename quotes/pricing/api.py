"""The shop's pricing policy and its tax rates in the API, for the owner to set."""

from decimal import Decimal
from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.examples import example
from inventory.base.api.fields import MOST_MARKUP, ShareField
from inventory.base.api.views import ActionView, ReadViewSet, Serializer
from inventory.base.refusals import Refusal
from inventory.base.roles import OWNER_ONLY
from inventory.models import Family
from quotes.models import DatedTaxRate, FamilyMarkup, PricingPolicy
from quotes.pricing.calc.offer import NEARLY, read_parts
from quotes.pricing.services import add_tax_rate, remove_tax_rate, set_policy

MOST_LETTERS = 40
"""As many as the column of parts holds."""


class PartsField(serializers.ListField):
    """The parts in which a price is paid, as shares that add up to 1; kept as they are typed."""

    child = ShareField()

    def __init__(self, **kwargs: Any) -> None:
        words = "Shares of the price in which it is paid, in their order; they add up to 1."
        super().__init__(help_text=words, **kwargs)

    def to_representation(self, data: Any) -> list[str]:
        try:
            percents = [term.percent for term in read_parts(data)]
        except Refusal:
            # A draft may hold words that can't be read until it is issued.
            return []
        firsts = [round(percent / 100, 4) for percent in percents[:-1]]
        last = round(sum(percents, Decimal(0)) / 100 - sum(firsts, Decimal(0)), 4)
        return [f"{share:.4f}" for share in (*firsts, last)]

    def to_internal_value(self, data: Any) -> str:  # type: ignore[override]
        shares: list[Decimal] = super().to_internal_value(data)
        if (whole := sum(shares, Decimal(0))) != 1:
            raise serializers.ValidationError(
                f"The parts add up to {whole.normalize():f}; they must add up to 1."
            )
        text = " ".join(f"{(share * 100).normalize():f}" for share in shares)
        if len(text) <= MOST_LETTERS:
            return text
        if max(shares) - min(shares) > NEARLY / 100:
            raise serializers.ValidationError("So many parts must be equal ones.")
        return f"{len(shares)} equal parts"


def fee_field() -> ShareField:
    """Return the field for what a payment service keeps of each payment."""
    return ShareField(source="fee_percent", required=False, help_text="Of each payment.")


class FamilyMarkupData(Serializer):
    """A markup of its own for one family of materials; null for the common one."""

    family = serializers.PrimaryKeyRelatedField(queryset=Family.objects.all())
    markup = ShareField(max_value=MOST_MARKUP, allow_null=True)

    class Meta:
        model = FamilyMarkup
        fields = ["family", "markup"]


class PolicyData(Serializer):
    """How this shop makes a price; shares such as markups and rates are 0.25 for 25 %."""

    fee_share = fee_field()
    parts = PartsField(required=False)

    class Meta:
        model = PricingPolicy
        exclude = ["id", "fee_percent"]


@example("terms of payment", payment_days=21, parts=["0.40", "0.60"], tax_rate="0.2100")
class PolicyAsked(PolicyData):
    """What to change; the rest stays."""

    markups = FamilyMarkupData(many=True, required=False)


class PolicyShown(PolicyData):
    """The policy with the markups of families that have their own."""

    markups = serializers.SerializerMethodField()

    def get_markups(self, policy: PricingPolicy) -> list[dict[str, Any]]:
        return [
            {"family": row.family_id, "markup": f"{row.markup}"}
            for row in FamilyMarkup.objects.order_by("family")
        ]


@extend_schema(tags=["workshop"])
class PolicyView(ActionView):
    """How prices are made."""

    write_roles = OWNER_ONLY

    @extend_schema(responses=PolicyShown)
    def get(self, request: Request) -> Response:
        """Return the policy; quotes keep the one they were drafted with."""
        return Response(PolicyShown(PricingPolicy.objects.first() or PricingPolicy(pk=1)).data)

    @extend_schema(request=PolicyAsked, responses=PolicyShown)
    def post(self, request: Request) -> Response:
        """Change what is given; it reaches quotes that are drafted from now on."""
        checked = PolicyAsked(data=request.data, partial=True)
        checked.is_valid(raise_exception=True)
        fields = dict(checked.validated_data)
        markups = {row["family"]: row["markup"] for row in fields.pop("markups", ())}
        return Response(PolicyShown(set_policy(markups=markups, **fields)).data)


class TaxRateData(Serializer):
    """A tax rate from a day on, until a later one of the same name."""

    class Meta:
        model = DatedTaxRate
        fields = ["id", "name", "since", "rate"]


@example("a reduced rate", name="reduced", since="2027-01-01", rate="0.0900")
class TaxRateAsked(serializers.Serializer):
    """A rate (0.09 is 9 %) and the first day it holds; without a name, the standard one."""

    name = serializers.CharField(required=False, max_length=30)
    since = serializers.DateField()
    rate = ShareField()


@extend_schema(tags=["workshop"])
class TaxRateViewSet(ReadViewSet):
    """The shop's tax rates with their days."""

    queryset = DatedTaxRate.objects.order_by("name", "-since")
    serializer_class = TaxRateData
    write_roles = OWNER_ONLY
    filterset_fields = ["name"]
    search_fields = ["name"]
    ordering_fields = ["since"]

    @extend_schema(request=TaxRateAsked, responses={201: TaxRateData})
    def create(self, request: Request) -> Response:
        """Add a rate; it reaches quotes that are drafted, copied or revised from that day on."""
        rate = add_tax_rate(**validated_body(TaxRateAsked, request))
        return Response(TaxRateData(rate).data, status=201)

    @extend_schema(request=None, responses={204: None})
    @action(detail=True, methods=["post"])
    def remove(self, request: Request, pk: int) -> Response:
        """Remove a rate that was entered by mistake."""
        remove_tax_rate(rate=self.get_object())
        return Response(status=204)
