"""Addresses of shop rate: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path

from quotes.shop_rate import pages
from quotes.shop_rate.api import ShopRateView

urlpatterns: list[URLPattern | URLResolver] = [
    path("workshop/shop-rate/", pages.shop_rate, name="shop_rate"),
    path("workshop/shop-rate/try/", pages.shop_rate_try, name="shop_rate_try"),
]

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("shop-rate/", ShopRateView.as_view(), name="api_shop_rate"),
]
