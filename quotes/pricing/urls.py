"""Addresses of pricing: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from quotes.pricing import pages
from quotes.pricing.api import PolicyView, TaxRateViewSet

urlpatterns: list[URLPattern | URLResolver] = [
    path("workshop/tax-rates/new/", pages.tax_rate_add, name="tax_rate_add"),
    path("workshop/tax-rates/<int:pk>/remove/", pages.tax_rate_remove, name="tax_rate_remove"),
    path("workshop/pricing/", pages.pricing_policy, name="pricing_policy"),
]

router = SimpleRouter()
router.register("tax-rates", TaxRateViewSet)

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("pricing-policy/", PolicyView.as_view(), name="api_pricing_policy"),
    *router.urls,
]
