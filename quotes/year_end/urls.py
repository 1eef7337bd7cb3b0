"""Addresses of the year end: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path

from quotes.year_end import pages
from quotes.year_end.api import YearEndSheetView, YearEndTablesView, YearEndView

urlpatterns: list[URLPattern | URLResolver] = [
    path("books/<int:year>/end/", pages.year_end_page, name="year_end"),
    path("books/<int:year>/end.pdf", pages.year_end_sheet, name="year_end_sheet"),
    path("books/<int:year>/end.xlsx", pages.year_end_file, name="year_end_file"),
]

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("books/<int:year>/end/", YearEndView.as_view(), name="api_year_end"),
    path("books/<int:year>/end/sheet/", YearEndSheetView.as_view(), name="api_year_end_sheet"),
    path("books/<int:year>/end/tables/", YearEndTablesView.as_view(), name="api_year_end_tables"),
]
