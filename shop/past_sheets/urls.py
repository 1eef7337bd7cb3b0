"""Addresses of past sheets: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path

from shop.past_sheets import api, pages

urlpatterns: list[URLPattern | URLResolver] = [
    path("templates/<int:pk>/old-hours/", pages.old_hours, name="old_hours"),
    path(
        "templates/<int:pk>/old-hours/reading/",
        pages.old_hours_reading,
        name="old_hours_reading",
    ),
    path(
        "templates/old-hours/<int:pk>/take-back/",
        pages.old_hours_take_back,
        name="old_hours_take_back",
    ),
]

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("templates/<int:pk>/old-hours/", api.OldHoursView.as_view(), name="api_old_hours"),
    path("old-sheets/<int:pk>/take-back/", api.TakeBackView.as_view(), name="api_take_back"),
]
