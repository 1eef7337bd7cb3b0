"""Work charged by time and materials in the API."""

from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.generics import get_object_or_404
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.examples import example
from inventory.base.api.fields import DecimalField
from inventory.base.api.views import ActionView
from inventory.base.roles import BOOK_ROLES
from quotes.invoicing.api.money_data import InvoiceData
from quotes.models import Quote
from quotes.work_done.queries import work_done
from quotes.work_done.services import invoice_work_done


def money(**shape: Any) -> DecimalField:
    """Return a field for money."""
    return DecimalField(max_digits=18, decimal_places=3, **shape)


class ChargedLineData(serializers.Serializer):
    """One line of what is charged, net."""

    name = serializers.CharField()
    how = serializers.CharField()
    net = money()


class WorkDoneData(serializers.Serializer):
    """What the work comes to so far; `invoice` is the one that stands."""

    lines = ChargedLineData(many=True)
    net = money(source="document.net", default=0)
    tax = money(source="document.tax", default=0)
    gross = money(source="document.due", default=0)
    invoice = serializers.IntegerField(source="invoice.pk", default=None)


@example("delivered today", delivered_on="2027-03-09")
class WorkInvoiceAsked(serializers.Serializer):
    """When the invoice is due, and what is known of the delivery."""

    due_on = serializers.DateField(required=False)
    delivered_on = serializers.DateField(required=False)


@extend_schema(tags=["money"])
class WorkDoneView(ActionView):
    """Work charged by time and materials."""

    write_roles = BOOK_ROLES

    @extend_schema(responses=WorkDoneData)
    def get(self, request: Request, pk: int) -> Response:
        """Return what the work on an accepted quote comes to so far."""
        return Response(WorkDoneData(work_done(self._quote(pk))).data)

    @extend_schema(request=WorkInvoiceAsked, responses={201: InvoiceData})
    def post(self, request: Request, pk: int) -> Response:
        """Invoice all work done so far."""
        asked = validated_body(WorkInvoiceAsked, request)
        invoice = invoice_work_done(quote=self._quote(pk), on=timezone.localdate(), **asked)
        return Response(InvoiceData(invoice).data, status=201)

    def _quote(self, pk: int) -> Quote:
        rows = Quote.objects.select_related("commission__client", "build")
        quote: Quote = get_object_or_404(rows, pk=pk)
        return quote
