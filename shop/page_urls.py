"""Addresses of the workshop, room by room: pages."""

from django.urls import URLPattern, URLResolver

from shop.access import urls as access
from shop.archive import urls as archive
from shop.builds import urls as builds
from shop.desk import urls as desk
from shop.devices import urls as devices
from shop.estimates import urls as estimates
from shop.hours import urls as hours
from shop.past_sheets import urls as past_sheets
from shop.patterns import urls as patterns
from shop.queue import urls as queue
from shop.workshop import urls as workshop

urlpatterns: list[URLPattern | URLResolver] = [
    *desk.urlpatterns,
    *access.urlpatterns,
    *archive.urlpatterns,
    *devices.urlpatterns,
    *past_sheets.urlpatterns,
    *queue.urlpatterns,
    *builds.urlpatterns,
    *estimates.urlpatterns,
    *hours.urlpatterns,
    *patterns.urlpatterns,
    *workshop.urlpatterns,
]
