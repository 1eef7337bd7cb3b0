"""Addresses of the quotes app's part of the API."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from quotes.api import hours
from quotes.api.clients import ClientViewSet, CommissionViewSet
from quotes.api.quotes import QuoteViewSet

router = SimpleRouter()
router.register("clients", ClientViewSet)
router.register("commissions", CommissionViewSet)
router.register("quotes", QuoteViewSet)

urlpatterns: list[URLPattern | URLResolver] = [
    path("quotes/<int:pk>/hours/", hours.QuoteHoursView.as_view(), name="api_quote_hours"),
    *router.urls,
]
