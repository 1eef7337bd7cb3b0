"""Addresses of wood: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from inventory.wood import api, pages

urlpatterns: list[URLPattern | URLResolver] = [
    path("p/<str:number>/weigh/", pages.weigh, name="weigh_piece"),
    path("p/<str:number>/moisture/", pages.read_meter, name="record_moisture"),
    path("weighings/<int:pk>/cross-out/", pages.void_mass, name="void_weighing"),
    path("readings/<int:pk>/cross-out/", pages.void_moisture, name="void_reading"),
    path("seasoning/", pages.seasoning, name="seasoning"),
    path("rules/", pages.rules, name="stock_rules"),
]

router = SimpleRouter()
router.register("species", api.SpeciesViewSet)
router.register("meters", api.MeterViewSet)
router.register("meter-species", api.MeterSpeciesViewSet)
router.register("weighings", api.WeighingViewSet)
router.register("moisture-readings", api.MoistureReadingViewSet)

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("seasoning/", api.SeasoningListView.as_view(), name="api_seasoning"),
    path(
        "pieces/<str:number>/seasoning/",
        api.SeasoningView.as_view(),
        name="api_piece_seasoning",
    ),
    *router.urls,
]
