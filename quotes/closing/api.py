"""Close-outs in the API: quoted against actual, and what a build really cost beside it."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.examples import example
from inventory.base.api.fields import DecimalField
from inventory.base.api.paper import PAPER_RENDERERS, PDF
from inventory.base.api.views import ActionView, ReadViewSet, Serializer
from inventory.base.refusals import Refusal
from quotes.closing.documents import certificate_paper
from quotes.closing.queries.close_out import kept_or_live_sheet
from quotes.closing.queries.order import order_outcome
from quotes.closing.services import close_out, correct_close_out, record_expense, remove_expense
from quotes.models import Expense, Quote
from quotes.papers.documents.printing import print_paper
from shop.models import Build

MONEY: dict[str, Any] = {"max_digits": 18, "decimal_places": 3}
HOURS: dict[str, Any] = {"max_digits": 9, "decimal_places": 2}


class StageOutcomeData(serializers.Serializer):
    """A stage's hours; `redone` are those of `actual` that made something again."""

    name = serializers.CharField()
    quoted = DecimalField(**HOURS)
    actual = DecimalField(**HOURS)
    redone = DecimalField(**HOURS)


class MaterialOutcomeData(serializers.Serializer):
    """A material's cost, and what the difference comes from."""

    name = serializers.CharField()
    quoted = DecimalField(**MONEY)
    actual = DecimalField(**MONEY)
    price = DecimalField(**MONEY)
    quantity = DecimalField(**MONEY)
    scrap = DecimalField(**MONEY)
    substitute = DecimalField(**MONEY)
    is_known = serializers.BooleanField()


class LostTimeData(serializers.Serializer):
    """Days lost to one reason."""

    reason = serializers.CharField()
    days = serializers.IntegerField()


class EarningsData(serializers.Serializer):
    """What came in, what it took, and what an hour earned; rounded to the thousandth."""

    received = DecimalField(**MONEY)
    fees = DecimalField(**MONEY)
    shipping = DecimalField(**MONEY)
    materials = DecimalField(**MONEY)
    outside_work = DecimalField(**MONEY)
    left = DecimalField(**MONEY)
    hours = DecimalField(**HOURS)
    effective_hourly = DecimalField(**MONEY)
    effective_hourly_with_unbilled = DecimalField(**MONEY)
    earned_hourly = DecimalField(**MONEY)
    earned_hourly_with_unbilled = DecimalField(**MONEY)


class SoFarData(serializers.Serializer):
    """An open build's money as it stands: what came in, tax in it, costs and hours."""

    money_in = DecimalField(**MONEY)
    costs = DecimalField(**MONEY)
    hours = DecimalField(**HOURS)


class ReceiptData(serializers.Serializer):
    """A payment as it came in, the same in the workshop's currency, and what its rate gained."""

    received_on = serializers.DateField()
    number = serializers.CharField()
    currency = serializers.CharField()
    amount = DecimalField(help_text="In the payment's `currency`.", **MONEY)
    home = DecimalField(help_text="The same in the workshop's currency.", **MONEY)
    fee = DecimalField(help_text="Kept back on the way, in the workshop's currency.", **MONEY)
    foreign_fee = DecimalField(
        help_text="The same in the payment's `currency`, where it was kept in it.",
        allow_null=True,
        **MONEY,
    )
    gain = DecimalField(
        help_text="What the day's rate brought beyond the quote's, in the workshop's currency; "
        "below 0 a loss.",
        **MONEY,
    )
    reached_gain = DecimalField(
        help_text="The same of what reached the account, the fee taken off; null in a close-out "
        "that was kept without it.",
        allow_null=True,
        **MONEY,
    )


class ProfitsData(serializers.Serializer):
    """The commission's profit seen three ways, before the maker's own pay."""

    at_replacement = DecimalField(
        help_text="Materials at what they cost to buy again. In the workshop's currency.", **MONEY
    )
    at_cost = DecimalField(
        help_text="Materials at what they did cost. In the workshop's currency.", **MONEY
    )
    wood_gain = DecimalField(
        help_text="What prices of the materials used rose by on the shelf: the difference of the "
        "two. In the workshop's currency.",
        **MONEY,
    )
    cash = DecimalField(
        help_text="Money in less money paid out. In the workshop's currency.", **MONEY
    )


class MoneyData(serializers.Serializer):
    """What the commission brought in, in the workshop's currency."""

    receipts = ReceiptData(many=True)
    is_paid = serializers.BooleanField(help_text="Everything that is asked for came in.")
    received = DecimalField(
        help_text="Net of tax; until `is_paid`, what is still asked for is in it.", **MONEY
    )
    tax = DecimalField(help_text="In what came in.", **MONEY)
    too_much = DecimalField(
        help_text="What came in beyond what is asked for: the client's.", **MONEY
    )
    fees = DecimalField(help_text="What was kept back on the way.", **MONEY)
    currency_gain = DecimalField(
        help_text="What the days' rates brought beyond the quote's; below 0 a loss.", **MONEY
    )
    reached_gain = DecimalField(
        help_text="The same of what reached the account; null where it was not kept.",
        allow_null=True,
        **MONEY,
    )
    profits = ProfitsData(allow_null=True)


class ChargePartData(serializers.Serializer):
    """A step of the price to ask next time."""

    name = serializers.CharField()
    amount = DecimalField(**MONEY)
    how = serializers.CharField()


class ChargeNextData(serializers.Serializer):
    """What to ask next time, net, and under which price to decline."""

    price = DecimalField(**MONEY)
    least = DecimalField(**MONEY)
    hours = DecimalField(**HOURS)
    because = serializers.CharField()
    jobs = serializers.IntegerField()
    parts = ChargePartData(many=True)


class CloseOutData(serializers.Serializer):
    """The close-out of a build: as it was closed, or with today's figures.

    `earnings` is null while the build is open (`so_far` and `forecast` stand in for it) and while
    `lines_without_cost` names lines for which nothing was drawn or priced.
    """

    stages = StageOutcomeData(many=True)
    materials = MaterialOutcomeData(many=True)
    price = DecimalField(allow_null=True, **MONEY)
    earnings = EarningsData(allow_null=True, source="whole_earnings")
    so_far = SoFarData(allow_null=True, source="money.so_far", default=None)
    forecast = EarningsData(allow_null=True, source="money.forecast", default=None)
    money = MoneyData(
        allow_null=True, help_text="Null for a build that nobody was quoted a price for."
    )
    lines_without_cost = serializers.ListField(child=serializers.CharField())
    contingency = DecimalField(**MONEY)
    contingency_left = DecimalField(**MONEY)
    charge_next = ChargeNextData(allow_null=True)
    first_promise = serializers.DateField(allow_null=True)
    promised_on = serializers.DateField(allow_null=True)
    finished_on = serializers.DateField(allow_null=True)
    days_late = serializers.IntegerField(allow_null=True)
    lost = LostTimeData(many=True)


@example("a good one", note_to_self="Order two sets.", charge_next_time="3250.00")
class CloseOutAsked(serializers.Serializer):
    """A word to oneself and the prices that the next quote of the pattern opens with."""

    note_to_self = serializers.CharField(required=False, allow_blank=True, max_length=300)
    charge_next_time = DecimalField(required=False, allow_null=True, **MONEY)
    decline_under = DecimalField(required=False, allow_null=True, **MONEY)


@extend_schema(tags=["builds"])
class CloseOutView(ActionView):
    """The close-out of a build."""

    @extend_schema(responses=CloseOutData)
    def get(self, request: Request, pk: int) -> Response:
        """Compare quoted and actual; once closed, as it was then."""
        build = get_object_or_404(Build.objects.select_related("template"), pk=pk)
        return Response(CloseOutData(kept_or_live_sheet(build, timezone.localdate())).data)

    @extend_schema(request=CloseOutAsked, responses=CloseOutData)
    def post(self, request: Request, pk: int) -> Response:
        """Close a finished build out, or keep another word to oneself."""
        build = get_object_or_404(Build, pk=pk)
        now = timezone.now()
        on = timezone.localdate(now)
        close_out(build=build, on=on, now=now, **validated_body(CloseOutAsked, request))
        return Response(CloseOutData(kept_or_live_sheet(build, on)).data)


@extend_schema(tags=["builds"])
class CorrectCloseOutView(ActionView):
    """A close-out that lacked costs."""

    @extend_schema(request=None, responses=CloseOutData)
    def post(self, request: Request, pk: int) -> Response:
        """Take in what its lines without a cost cost after all; the first figures are kept too.

        A line that is priced over `expenses` is taken in at once.
        """
        build = get_object_or_404(Build, pk=pk)
        on = timezone.localdate()
        correct_close_out(build=build, on=on)
        return Response(CloseOutData(kept_or_live_sheet(build, on)).data)


class InstrumentOutcomeData(serializers.Serializer):
    """One instrument of an order, or all of it; money in the workshop's currency.

    Costs of a build that is not finished are forecast. `earnings` are null until it is finished
    and every cost is known.
    """

    name = serializers.CharField()
    serial = serializers.CharField(help_text="Empty for the whole order.")
    price = DecimalField(help_text="As quoted, net, without shipping.", **MONEY)
    received = DecimalField(help_text="Net of tax, or still asked for.", **MONEY)
    fees = DecimalField(help_text="Of payment.", **MONEY)
    shipping = DecimalField(**MONEY)
    materials = DecimalField(help_text="At cost.", **MONEY)
    outside_work = DecimalField(**MONEY)
    left = DecimalField(help_text="For hours and overhead.", **MONEY)
    hours_quoted = DecimalField(help_text="All stages, as quoted.", **HOURS)
    hours = DecimalField(help_text="As worked.", **HOURS)
    earnings = EarningsData(allow_null=True)


class OrderOutcomeData(serializers.Serializer):
    """The builds of an order added up; `why_not` says what keeps its hourly rate unknown."""

    rows = InstrumentOutcomeData(many=True)
    total = InstrumentOutcomeData()
    why_not = serializers.ListField(child=serializers.CharField())


@extend_schema(tags=["quotes"])
class OrderCloseOutView(ActionView):
    """The close-out of a whole order."""

    @extend_schema(responses=OrderOutcomeData)
    def get(self, request: Request, pk: int) -> Response:
        """Add up the builds of an order, each as it was closed out or as it stands today."""
        quote = get_object_or_404(Quote.objects.select_related("part_of"), pk=pk)
        return Response(OrderOutcomeData(order_outcome(quote, timezone.localdate())).data)


@extend_schema(tags=["builds"])
class CertificateView(ActionView):
    """The certificate of an instrument."""

    renderer_classes = PAPER_RENDERERS

    @extend_schema(responses=PDF)
    def get(self, request: Request, pk: int) -> Response:
        """Return the certificate (PDF); refused before the instrument is finished."""
        build = get_object_or_404(Build, pk=pk)
        if build.finished_on is None:
            raise Refusal(f"{build.serial} is not finished, so it has no certificate yet.")
        paper, made_on = certificate_paper(build), f"{build.finished_on}"
        printed = print_paper("quotes/papers/certificate.html", paper, made_on=made_on)
        return Response(printed, content_type="application/pdf")


class ExpenseData(Serializer):
    """What outside work or shipping of a build really cost, in the workshop's currency."""

    class Meta:
        model = Expense
        fields = ["id", "build", "kind", "about", "amount", "paid_on", "line"]


@example(
    "a carrier", build=3, kind="shipping", about="carrier", amount="57.30", paid_on="2027-06-01"
)
class ExpenseAsked(ExpenseData):
    """An expense to note."""


@extend_schema(tags=["builds"])
class ExpenseViewSet(ReadViewSet):
    """What builds really cost beside materials and hours."""

    queryset = Expense.objects.order_by("-pk")
    serializer_class = ExpenseData
    filterset_fields = ["build", "kind"]
    search_fields = ["about"]
    ordering_fields = ["paid_on"]

    @extend_schema(request=ExpenseAsked, responses={201: ExpenseData})
    def create(self, request: Request) -> Response:
        """Note an expense; from the first of its kind on, the quoted figure counts no more."""
        expense = record_expense(on=timezone.localdate(), **validated_body(ExpenseAsked, request))
        return Response(ExpenseData(expense).data, status=201)

    @extend_schema(request=None, responses={204: None})
    @action(detail=True, methods=["post"])
    def remove(self, request: Request, pk: int) -> Response:
        """Delete an expense that was recorded by mistake."""
        remove_expense(expense=self.get_object())
        return Response(status=204)
