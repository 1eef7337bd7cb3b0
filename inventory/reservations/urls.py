"""Addresses of reservations: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from inventory.reservations import api, pages

urlpatterns: list[URLPattern | URLResolver] = [
    path("promises/<int:pk>/release/", pages.release, name="release_reservation"),
    path("promises/<int:pk>/again/", pages.promise_again, name="promise_again"),
]

router = SimpleRouter()
router.register("promises", api.PromiseViewSet)

api_urlpatterns: list[URLPattern | URLResolver] = [
    *router.urls,
]
