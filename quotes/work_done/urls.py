"""Addresses of work done: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path

from quotes.work_done import pages
from quotes.work_done.api import WorkDoneView

urlpatterns: list[URLPattern | URLResolver] = [
    path("quotes/<int:pk>/work-done/", pages.work_done, name="work_done"),
]

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("quotes/<int:pk>/work-done/", WorkDoneView.as_view(), name="api_work_done"),
]
