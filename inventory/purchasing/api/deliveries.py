"""Deliveries over the API: received and reversed."""

from django.db.models import QuerySet
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.asking import validated_body
from inventory.base.api.views import ReadViewSet
from inventory.base.refusals import Refusal
from inventory.base.roles import BOOK_ROLES
from inventory.ledger.services.reverse import reverse_groups
from inventory.models import Delivery
from inventory.purchasing.api.delivery_requests import NewDelivery
from inventory.purchasing.queries.deliveries import delivery_in_full, received_by
from inventory.purchasing.services.deliveries import receive_delivery
from inventory.shelf.api.entries import ENTRIES, Correct, DeliverySerializer, entries_answer


class DeliveryViewSet(ReadViewSet):
    """Deliveries, the latest first."""

    serializer_class = DeliverySerializer
    filterset_fields = ["supplier", "received_on"]
    queryset = Delivery.objects.all()
    write_roles = BOOK_ROLES

    def get_queryset(self) -> QuerySet[Delivery]:
        return delivery_in_full()

    @extend_schema(request=NewDelivery, responses={201: DeliverySerializer})
    def create(self, request: Request) -> Response:
        """Book a delivery in; carriage and duty are shared over its lines."""
        asking = NewDelivery(data=request.data)
        asking.is_valid(raise_exception=True)
        row = receive_delivery(now=timezone.now(), user=request.user, **asking.to_arguments())
        full = delivery_in_full().get(pk=row.pk)
        return Response(DeliverySerializer(full).data, status=201)

    @extend_schema(request=Correct, responses=ENTRIES)
    @action(detail=True, methods=["post"], url_path="take-back")
    def take_back(self, request: Request, pk: str) -> Response:
        """Undo a delivery that was booked by mistake.

        Answered 409 when some of it has been used or reserved since.
        """
        data = validated_body(Correct, request)
        entries = received_by(self.get_object())
        if not entries:
            raise Refusal("This delivery has already been reversed.")
        return entries_answer(
            reverse_groups(entries=entries, now=timezone.now(), user=request.user, **data)
        )
