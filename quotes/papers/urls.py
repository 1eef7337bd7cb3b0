"""Addresses of papers: how they look."""

from django.urls import URLPattern, URLResolver, path

from quotes.papers import pages
from quotes.papers.api import PaperLogoRemoveView, PaperLogoView, PaperLookView

urlpatterns: list[URLPattern | URLResolver] = [
    path("workshop/papers/", pages.paper_look_edit, name="paper_look"),
    path("workshop/papers/picture/", pages.paper_look_picture, name="paper_look_picture"),
    path("workshop/papers/logo/", pages.paper_logo, name="paper_logo"),
    path("workshop/papers/logo/remove/", pages.paper_logo_remove, name="paper_logo_remove"),
    path("workshop/papers/sample.pdf", pages.paper_sample, name="paper_sample"),
]

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("paper-look/", PaperLookView.as_view(), name="api_paper_look"),
    path("paper-look/logo/", PaperLogoView.as_view(), name="api_paper_logo"),
    path("paper-look/logo/remove/", PaperLogoRemoveView.as_view(), name="api_paper_logo_remove"),
]
