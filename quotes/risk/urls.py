"""Addresses of risk: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path

from quotes.risk import pages
from quotes.risk.api import QuoteRiskView

urlpatterns: list[URLPattern | URLResolver] = [
    path("quotes/<int:pk>/risk/", pages.quote_risk, name="quote_risk"),
]

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("quotes/<int:pk>/risk/", QuoteRiskView.as_view(), name="api_quote_risk"),
]
