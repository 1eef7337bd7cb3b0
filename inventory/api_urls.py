"""Addresses of the stock, room by room: the API."""

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
    *desk.api_urlpatterns,
    *strings.api_urlpatterns,
    *kits.api_urlpatterns,
    *counting.api_urlpatterns,
    *cutting.api_urlpatterns,
    *purchasing.api_urlpatterns,
    *wood.api_urlpatterns,
    *paperwork.api_urlpatterns,
    *reservations.api_urlpatterns,
]
