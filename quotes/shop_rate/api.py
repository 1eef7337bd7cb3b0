"""The shop rate in the API: worked out from a year of the workshop."""

from decimal import Decimal
from typing import Any

from django.utils import timezone
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.fields import DecimalField, PercentAsShareField, ShareField
from inventory.base.api.views import ActionView
from quotes.shop_rate.calc import ShopYear, what_moves_the_rate, work_out_rate
from quotes.shop_rate.queries import RecordedShare, recorded_share, shop_year
from quotes.shop_rate.services import plan_year, use_shop_rate


def amount(**shape: Any) -> DecimalField:
    """Return a field for money."""
    return DecimalField(max_digits=18, decimal_places=3, **shape)


class OverheadData(serializers.Serializer):
    """One cost of a year that no build can be charged with directly."""

    name = serializers.CharField(max_length=120)
    yearly = amount(min_value=0)


class YearAsked(serializers.Serializer):
    """A year of the workshop; shares are fractions of 1, profit is a margin on the rate."""

    overheads = OverheadData(many=True)
    weeks = DecimalField(max_digits=4, decimal_places=1)
    weekly_hours = DecimalField(max_digits=4, decimal_places=1)
    billable_share = ShareField()
    wanted_pay = amount()
    profit_margin = ShareField(default=Decimal(0))
    rate_step = amount(default=Decimal(1))
    use = serializers.BooleanField(
        default=False, help_text="Also save it as the shop rate of the pricing policy."
    )


class LeverPointData(serializers.Serializer):
    """The rate before rounding up with one thing moved by a share of itself."""

    change = PercentAsShareField(
        source="change_percent", min_value=Decimal(-1), help_text="Of itself."
    )
    value = DecimalField(max_digits=18, decimal_places=4)
    rate = DecimalField(max_digits=18, decimal_places=4)


class LeverData(serializers.Serializer):
    """One thing that moves the rate."""

    name = serializers.CharField()
    points = LeverPointData(many=True)


class ShopRateData(serializers.Serializer):
    """A rate and what it is made from, rounded to four places; `rate` is what is charged."""

    overhead = amount()
    working_hours = DecimalField(max_digits=9, decimal_places=2)
    billable_hours = DecimalField(max_digits=9, decimal_places=2)
    overhead_per_hour = DecimalField(max_digits=18, decimal_places=4)
    pay_per_hour = DecimalField(max_digits=18, decimal_places=4)
    break_even = DecimalField(max_digits=18, decimal_places=4)
    with_profit = DecimalField(max_digits=18, decimal_places=4)
    rate = amount()


class RecordedShareData(serializers.Serializer):
    """The billable share of the hours recorded in the last year."""

    share = PercentAsShareField(source="percent")
    hours = DecimalField(max_digits=9, decimal_places=1)
    since = serializers.DateField()


class ShopYearData(serializers.Serializer):
    """The rate of the year as planned, and what moves it; null while no year is planned."""

    rate = ShopRateData(allow_null=True)
    levers = LeverData(many=True)
    recorded = RecordedShareData(allow_null=True)


EXAMPLE = OpenApiExample(
    "a small shop",
    value={
        "overheads": [{"name": "Rent", "yearly": "5400"}, {"name": "Insurance", "yearly": "900"}],
        "weeks": "46",
        "weekly_hours": "40",
        "billable_share": "0.60",
        "wanted_pay": "30000",
        "profit_margin": "0.10",
    },
    request_only=True,
)


@extend_schema(tags=["workshop"])
class ShopRateView(ActionView):
    """What an hour has to bring over a year."""

    @extend_schema(responses=ShopYearData)
    def get(self, request: Request) -> Response:
        """Return the rate of the planned year, what moves it, and the share that was recorded."""
        return Response(_shown(shop_year(), recorded_share(timezone.localdate())))

    @extend_schema(request=YearAsked, responses=ShopYearData, examples=[EXAMPLE])
    def post(self, request: Request) -> Response:
        """Plan the year with exactly these overheads, and use its rate if asked to."""
        asked = validated_body(YearAsked, request)
        overheads = [(row["name"], row["yearly"]) for row in asked.pop("overheads")]
        wants_use = asked.pop("use")
        plan_year(overheads=overheads, **asked)
        if wants_use:
            use_shop_rate()
        return self.get(request)


def _shown(year: ShopYear | None, recorded: RecordedShare | None) -> Any:
    shown = {
        "rate": work_out_rate(year) if year else None,
        "levers": what_moves_the_rate(year) if year else (),
        "recorded": recorded,
    }
    return ShopYearData(shown).data
