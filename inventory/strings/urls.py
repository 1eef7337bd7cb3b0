"""Addresses of strings: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from inventory.strings import pages
from inventory.strings.api import fretwire_and_rules, string_sets

urlpatterns: list[URLPattern | URLResolver] = [
    path("string-sets/new/", pages.new_string_set, name="new_string_set"),
    path("string-sets/try/", pages.try_strings, name="try_strings"),
    path("string-sets/<int:pk>/", pages.string_set, name="string_set"),
    path("string-sets/<int:pk>/sleeve.pdf", pages.sleeve_pdf, name="sleeve_pdf"),
    path("string-sets/<int:pk>/change/", pages.edit_string_set, name="edit_string_set"),
    path("fretwire/", pages.fretwire, name="fretwire"),
]

router = SimpleRouter()
router.register("string-sets", string_sets.StringSetViewSet)

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("fretwire/", fretwire_and_rules.FretwireView.as_view()),
    path("stock-rules/", fretwire_and_rules.StockRulesView.as_view()),
    *router.urls,
]
