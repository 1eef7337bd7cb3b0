"""Addresses of desk: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path

from shop.desk.pages import faces, first_run, help, today

urlpatterns: list[URLPattern | URLResolver] = [
    path("", today.today, name="today"),
    path("faces/<slug:cut>.woff2", faces.face, name="face"),
    path("help/", help.words, name="words"),
    path("help/first-week/", help.first_week, name="first_week"),
    path("first-run/", first_run.first_run, name="first_run"),
]
