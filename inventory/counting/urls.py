"""Addresses of counting: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from inventory.counting import api, pages

urlpatterns: list[URLPattern | URLResolver] = [
    path("counts/", pages.count_list, name="counts"),
    path("counts/new/", pages.new_count, name="new_count"),
    path("counts/<int:pk>/", pages.count, name="count"),
    path("counts/<int:pk>/sheet.pdf", pages.count_pdf, name="count_pdf"),
]

router = SimpleRouter()
router.register("counts", api.CountViewSet)
router.register("count-lines", api.CountLineViewSet)

api_urlpatterns: list[URLPattern | URLResolver] = [
    *router.urls,
]
