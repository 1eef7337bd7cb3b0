"""Addresses of cancelling: its page, and its part of the API."""

from django.urls import URLPattern, URLResolver, path

from quotes.cancelling import pages
from quotes.cancelling.api import CancellingView

urlpatterns: list[URLPattern | URLResolver] = [
    path("commissions/<int:pk>/cancel/", pages.commission_cancel, name="commission_cancel"),
]

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("commissions/<int:pk>/cancelling/", CancellingView.as_view(), name="api_cancelling"),
]
