"""Addresses of the workshop, room by room: the API."""

from django.urls import URLPattern, URLResolver

from shop.access import urls as access
from shop.archive import urls as archive
from shop.builds import urls as builds
from shop.devices import urls as devices
from shop.estimates import urls as estimates
from shop.hours import urls as hours
from shop.past_sheets import urls as past_sheets
from shop.patterns import urls as patterns
from shop.queue import urls as queue
from shop.workshop import urls as workshop

urlpatterns: list[URLPattern | URLResolver] = [
    *access.api_urlpatterns,
    *archive.api_urlpatterns,
    *devices.api_urlpatterns,
    *past_sheets.api_urlpatterns,
    *queue.api_urlpatterns,
    *builds.api_urlpatterns,
    *estimates.api_urlpatterns,
    *hours.api_urlpatterns,
    *patterns.api_urlpatterns,
    *workshop.api_urlpatterns,
]
