"""Addresses of archive: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path

from shop.archive import api, pages

urlpatterns: list[URLPattern | URLResolver] = [
    path("workshop/everything/", pages.everything, name="everything"),
]

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("everything/", api.EverythingView.as_view(), name="api_everything"),
]
