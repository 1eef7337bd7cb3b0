"""Addresses of the quotes app's part of the API."""

from django.urls import URLPattern, URLResolver
from rest_framework.routers import SimpleRouter

from quotes.api.clients import ClientViewSet, CommissionViewSet
from quotes.api.quotes import QuoteViewSet

router = SimpleRouter()
router.register("clients", ClientViewSet)
router.register("commissions", CommissionViewSet)
router.register("quotes", QuoteViewSet)

urlpatterns: list[URLPattern | URLResolver] = [*router.urls]
