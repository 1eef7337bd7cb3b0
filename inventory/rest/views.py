"""Base classes of the API's views and serializers."""

from rest_framework import serializers, viewsets
from rest_framework.views import APIView

from inventory.fields import MoneyField, QuantityField
from inventory.rest.etags import VersionedMixin
from inventory.rest.idempotency import AskedOnceMixin


class Serializer(serializers.ModelSerializer):
    """A model serializer that knows exact money and quantities, sent as decimal strings."""

    serializer_field_mapping = serializers.ModelSerializer.serializer_field_mapping | {
        MoneyField: serializers.DecimalField,
        QuantityField: serializers.DecimalField,
    }


class ActionView(AskedOnceMixin, APIView):
    """Base of an end point that does one thing."""


class ReadViewSet(AskedOnceMixin, viewsets.ReadOnlyModelViewSet):
    """List and retrieve; further POST actions may be added with `@action`."""


class EditViewSet(AskedOnceMixin, VersionedMixin, viewsets.ModelViewSet):
    """List, retrieve, create, change and delete, with versions."""
