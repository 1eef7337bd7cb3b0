"""Addresses of search: its page."""

from django.urls import URLPattern, URLResolver, path

from quotes.search import pages

urlpatterns: list[URLPattern | URLResolver] = [
    path("search/", pages.search, name="search"),
]
