"""Addresses of cutting: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path

from inventory.cutting import api, pages

urlpatterns: list[URLPattern | URLResolver] = [
    path("m/<int:pk>/cut/", pages.cut, name="cut_material"),
    path("p/<str:number>/lose/", pages.lose, name="record_lost_part"),
]

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("cutting-plans/", api.CuttingPlanView.as_view()),
    path("cutting-plans/read/", api.CuttingPlanReadView.as_view()),
    path("cutting-plans/book/", api.CuttingPlanBookView.as_view()),
]
