"""Addresses of workshop: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from shop.workshop import api, pages

urlpatterns: list[URLPattern | URLResolver] = [
    path("workshop/", pages.workshop, name="workshop"),
    path("workshop/change/", pages.workshop_edit, name="workshop_edit"),
    path("workshop/week/", pages.week_edit, name="week_edit"),
    path("workshop/days-off/new/", pages.day_off_add, name="day_off_add"),
    path("workshop/days-off/<int:pk>/remove/", pages.day_off_remove, name="day_off_remove"),
    path("workshop/units/", pages.my_units, name="my_units"),
]

router = SimpleRouter()
router.register("days-off", api.DayOffViewSet)

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("workshop/", api.WorkshopView.as_view(), name="api_workshop"),
    path("working-week/", api.WorkingWeekView.as_view(), name="api_working_week"),
    *router.urls,
]
