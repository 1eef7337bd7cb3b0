"""Addresses of year: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path

from quotes.year import pages
from quotes.year.api import BooksYearTablesView, BooksYearView

urlpatterns: list[URLPattern | URLResolver] = [
    path("books/<int:year>/", pages.year, name="year"),
    path("books/<int:year>/<slug:table>.csv", pages.year_csv, name="year_csv"),
    path("books/<int:year>.xlsx", pages.year_xlsx, name="year_xlsx"),
]

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("books/<int:year>/", BooksYearView.as_view(), name="api_year"),
    path("books/<int:year>/tables/", BooksYearTablesView.as_view(), name="api_year_tables"),
]
