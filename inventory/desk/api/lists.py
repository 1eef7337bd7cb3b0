"""The short lists that stock draws on, over the API: families, places, suppliers."""

from inventory.base.api.changed import ChangesMixin
from inventory.base.api.views import NO_DELETE, EditViewSet
from inventory.base.roles import BOOK_ROLES
from inventory.models import Family, Place, Supplier
from inventory.shelf.api import rows as serializers


class FamilyViewSet(EditViewSet):
    """Families of materials."""

    queryset = Family.objects.all()
    serializer_class = serializers.FamilySerializer
    http_method_names = NO_DELETE


class PlaceViewSet(ChangesMixin, EditViewSet):
    """Places where stock lies."""

    queryset = Place.objects.all()
    serializer_class = serializers.PlaceSerializer


class SupplierViewSet(EditViewSet):
    """Suppliers."""

    queryset = Supplier.objects.all()
    serializer_class = serializers.SupplierSerializer
    http_method_names = NO_DELETE
    write_roles = BOOK_ROLES
