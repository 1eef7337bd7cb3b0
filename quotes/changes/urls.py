"""Addresses of changes: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path, register_converter
from rest_framework.routers import SimpleRouter

from quotes.changes import pages
from quotes.changes.api import ChangeViewSet


class ClientsWord:
    """What the client said to a change."""

    regex = "agreed|declined"

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value


register_converter(ClientsWord, "word")


urlpatterns: list[URLPattern | URLResolver] = [
    path("quotes/<int:pk>/confirmation/", pages.confirmation, name="confirmation"),
    path("quotes/<int:pk>/change/", pages.change_new, name="change_new"),
    path("builds/<int:pk>/changes/", pages.build_changes, name="build_changes"),
    path("changes/<int:pk>/", pages.change, name="change"),
    path("changes/<int:pk>/paper/", pages.change_document, name="change_document"),
    path("changes/<int:pk>/<word:said>/", pages.change_decide, name="change_decide"),
]

router = SimpleRouter()
router.register("changes", ChangeViewSet)

api_urlpatterns: list[URLPattern | URLResolver] = [
    *router.urls,
]
