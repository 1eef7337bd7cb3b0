"""Addresses of the stock, room by room: pages."""

from django.urls import URLPattern, URLResolver

from inventory.counting import urls as counting
from inventory.cutting import urls as cutting
from inventory.desk import urls as desk
from inventory.kits import urls as kits
from inventory.paperwork import urls as paperwork
from inventory.purchasing import urls as purchasing
from inventory.reservations import urls as reservations
from inventory.strings import urls as strings
from inventory.wood import urls as wood

urlpatterns: list[URLPattern | URLResolver] = [
    *desk.urlpatterns,
    *strings.urlpatterns,
    *kits.urlpatterns,
    *counting.urlpatterns,
    *cutting.urlpatterns,
    *purchasing.urlpatterns,
    *wood.urlpatterns,
    *paperwork.urlpatterns,
    *reservations.urlpatterns,
]
