"""Suppliers' bills and a year of purchases in the API."""

from datetime import MAXYEAR, MINYEAR
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet
from django.http import Http404
from django.utils import timezone
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.examples import example
from inventory.base.api.fields import DecimalField, HappenedField
from inventory.base.api.tables import WORKBOOK, WORKBOOK_RENDERERS
from inventory.base.api.views import ActionView, ReadViewSet, Serializer
from inventory.base.queries import home_currency
from inventory.base.roles import BOOK_ROLES
from inventory.base.tables import XLSX, as_xlsx
from inventory.models import Bill, Delivery, Supplier
from inventory.purchasing.calc.bills import YearPurchases, purchase_tables
from inventory.purchasing.queries.bills import bill_list, check_bill, year_purchases
from inventory.purchasing.services.bills import (
    NewBill,
    correct_bill,
    cover_deliveries,
    enter_bill,
    pay_bill,
    void_bill,
)

OWN = "In the currency of the bill; below 0 on a credit note."


def _amount(**given: Any) -> DecimalField:
    return DecimalField(max_digits=14, decimal_places=3, **given)


def _sum(**given: Any) -> DecimalField:
    return DecimalField(max_digits=18, decimal_places=3, **given)


class CoveredField(serializers.ManyRelatedField):
    """Keys of deliveries."""

    def __init__(self, **given: Any) -> None:
        rows = Delivery.objects.select_related("supplier")
        child = serializers.PrimaryKeyRelatedField(queryset=rows)
        words = "Deliveries of this supplier that the bill covers, none of them on another bill."
        super().__init__(child_relation=child, help_text=words, **given)


@example(
    "A bill of 246.00",
    supplier=1,
    number="B-2291",
    billed_on="2027-03-09",
    due_on="2027-04-08",
    net="200.00",
    tax="46.00",
    gross="246.00",
    deliveries=[1],
)
class NewBillAsked(serializers.Serializer):
    supplier = serializers.PrimaryKeyRelatedField(queryset=Supplier.objects.all())
    number = serializers.CharField(max_length=60, help_text="As on the bill.")
    billed_on = HappenedField(help_text="The day on the bill.")
    due_on = serializers.DateField(
        required=False, allow_null=True, default=None, help_text="Left out: at once."
    )
    currency = serializers.CharField(
        max_length=3,
        required=False,
        allow_blank=True,
        default="",
        help_text="ISO 4217; left out, the workshop's.",
    )
    rate = DecimalField(
        max_digits=18,
        decimal_places=8,
        min_value=Decimal("0.00000001"),
        required=False,
        allow_null=True,
        default=None,
        help_text="Units of that currency to one of the workshop's own.",
    )
    net = _amount(help_text=OWN)
    tax = _amount(default=Decimal(0), help_text=OWN)
    gross = _amount(
        required=False,
        allow_null=True,
        default=None,
        help_text="If given, net and tax must add up to it.",
    )
    paid_on = HappenedField(required=False, allow_null=True, default=None)
    note = serializers.CharField(max_length=500, required=False, allow_blank=True, default="")
    deliveries = CoveredField(required=False, default=list)

    def to_bill(self) -> NewBill:
        """Return what the service takes."""
        data = {name: value for name, value in self.validated_data.items() if name != "why"}
        return NewBill(**data)


@example(
    "A wrong tax",
    supplier=1,
    number="B-2291",
    billed_on="2027-03-09",
    net="200.00",
    tax="42.00",
    why="46.00 tax was typed",
)
class CorrectBillAsked(NewBillAsked):
    why = serializers.CharField(max_length=200, help_text="What was wrong.")


@example("Entered twice", why="entered twice")
class VoidBillAsked(serializers.Serializer):
    why = serializers.CharField(max_length=200)


@example("Paid on a day", paid_on="2027-04-02")
class PaidAsked(serializers.Serializer):
    paid_on = HappenedField(allow_null=True, help_text="Null: not paid after all.")


@example("Two deliveries", deliveries=[1, 2])
class CoverAsked(serializers.Serializer):
    deliveries = CoveredField()


class BillCheckData(serializers.Serializer):
    """A bill beside its deliveries; the difference is above 0 where the bill is more."""

    currency = serializers.CharField(help_text="Of net, goods and carriage; ISO 4217.")
    billed = _sum(help_text="The bill's net.")
    goods = _sum(help_text="Of its deliveries, net.")
    carriage = _sum(help_text="Of its deliveries, net.")
    difference = _sum(help_text="Net of the bill less goods and carriage, in `currency`.")
    tax_difference = _sum(help_text="In the workshop's currency.")
    agrees = serializers.BooleanField()
    words = serializers.CharField(help_text="The difference in words.")


class BillSerializer(Serializer):
    """A supplier's bill; a credit note's amounts are below 0."""

    gross = _sum(source="total", read_only=True, help_text=OWN)
    home_gross = _sum(source="home_total", read_only=True)
    deliveries = serializers.ManyRelatedField(
        child_relation=serializers.PrimaryKeyRelatedField[Delivery](read_only=True),
        read_only=True,
        help_text="Keys of the deliveries that it covers.",
    )

    class Meta:
        model = Bill
        fields = [
            "id",
            "supplier",
            "number",
            "billed_on",
            "due_on",
            "currency",
            "rate",
            "net",
            "tax",
            "gross",
            "home_net",
            "home_tax",
            "home_gross",
            "paid_on",
            "note",
            "void_why",
            "deliveries",
        ]
        read_only_fields = fields


class CheckedBillSerializer(BillSerializer):
    """A bill with its check against the deliveries that it covers."""

    check = serializers.SerializerMethodField(help_text="Null where it covers no delivery.")

    class Meta(BillSerializer.Meta):
        fields = [*BillSerializer.Meta.fields, "check"]
        read_only_fields = fields

    @extend_schema_field(BillCheckData(allow_null=True))
    def get_check(self, row: Bill) -> dict[str, Any] | None:
        found = check_bill(row)
        return None if found is None else dict(BillCheckData(found).data)


class BillViewSet(ReadViewSet):
    """Suppliers' bills, the latest first, void ones among them."""

    queryset = Bill.objects.all()
    serializer_class = BillSerializer
    write_roles = BOOK_ROLES
    filterset_fields = {
        "supplier": ["exact"],
        "number": ["exact"],
        "billed_on": ["gte", "lte"],
        "paid_on": ["exact", "isnull"],
    }

    def get_queryset(self) -> QuerySet[Bill]:
        return bill_list().prefetch_related("deliveries")

    @extend_schema(responses=CheckedBillSerializer)
    def retrieve(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Return a bill, checked against the deliveries that it covers."""
        return Response(CheckedBillSerializer(self.get_object()).data)

    @extend_schema(request=NewBillAsked, responses={201: CheckedBillSerializer})
    def create(self, request: Request) -> Response:
        """Enter a bill, and check it against the deliveries that it covers."""
        asking = NewBillAsked(data=request.data)
        asking.is_valid(raise_exception=True)
        row = enter_bill(bill=asking.to_bill(), now=timezone.now())
        return self._answer(row, 201)

    @extend_schema(request=CorrectBillAsked, responses={201: CheckedBillSerializer})
    @action(detail=True, methods=["post"])
    def correct(self, request: Request, pk: str) -> Response:
        """Enter a bill again; the one entered by mistake stays in sight as void."""
        asking = CorrectBillAsked(data=request.data)
        asking.is_valid(raise_exception=True)
        row = correct_bill(
            bill=self.get_object(),
            right=asking.to_bill(),
            why=asking.validated_data["why"],
            now=timezone.now(),
        )
        return self._answer(row, 201)

    @extend_schema(request=VoidBillAsked, responses={200: CheckedBillSerializer})
    @action(detail=True, methods=["post"])
    def void(self, request: Request, pk: str) -> Response:
        """Take a bill out of all sums, with the reason."""
        data = validated_body(VoidBillAsked, request)
        return self._answer(void_bill(bill=self.get_object(), **data))

    @extend_schema(request=PaidAsked, responses={200: CheckedBillSerializer})
    @action(detail=True, methods=["post"])
    def pay(self, request: Request, pk: str) -> Response:
        """Note the day on which a bill was paid, or that it is not paid after all."""
        data = validated_body(PaidAsked, request)
        return self._answer(pay_bill(bill=self.get_object(), now=timezone.now(), **data))

    @extend_schema(request=CoverAsked, responses={200: CheckedBillSerializer})
    @action(detail=True, methods=["post"])
    def cover(self, request: Request, pk: str) -> Response:
        """Choose the deliveries that a bill covers: these, and no others."""
        data = validated_body(CoverAsked, request)
        return self._answer(cover_deliveries(bill=self.get_object(), **data))

    def _answer(self, row: Bill, status: int = 200) -> Response:
        fresh = self.get_queryset().get(pk=row.pk)
        return Response(CheckedBillSerializer(fresh).data, status=status)


class PurchaseRowData(serializers.Serializer):
    """Bills of one month, quarter or supplier, in the workshop's currency."""

    name = serializers.CharField(help_text="A month, a quarter, or a supplier.")
    count = serializers.IntegerField(help_text="How many bills.")
    net = _sum()
    tax = _sum()
    gross = _sum()


class YearPurchasesData(serializers.Serializer):
    """A year of purchases by the day of the bill, in the workshop's currency."""

    year = serializers.IntegerField()
    months = PurchaseRowData(many=True)
    quarters = PurchaseRowData(many=True)
    suppliers = PurchaseRowData(many=True)
    total = PurchaseRowData()
    unpaid = _sum(help_text="Gross.")


def _asked(year: int) -> YearPurchases:
    if not MINYEAR < year < MAXYEAR:
        raise Http404
    return year_purchases(year)


class PurchasesView(ActionView):
    """A year of purchases."""

    @extend_schema(responses=YearPurchasesData)
    def get(self, request: Request, year: int) -> Response:
        """Return a year of purchases by month, by quarter and by supplier; void bills left out."""
        return Response(YearPurchasesData(_asked(year)).data)


class PurchasesTablesView(ActionView):
    """The tables of a year of purchases as one file."""

    renderer_classes = WORKBOOK_RENDERERS

    @extend_schema(responses=WORKBOOK)
    def get(self, request: Request, year: int) -> Response:
        """Return all tables of a year of purchases as one workbook (XLSX)."""
        written = as_xlsx(purchase_tables(_asked(year), home_currency()))
        return Response(written, content_type=XLSX)
