"""Addresses of kits: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from inventory.kits import api, pages

urlpatterns: list[URLPattern | URLResolver] = [
    path("made-up/", pages.made_up, name="made_up"),
    path("made-up/new/", pages.new_recipe, name="new_recipe"),
    path("made-up/<int:pk>/", pages.recipe, name="recipe"),
    path("made-up/<int:pk>/make/", pages.make, name="make_kit"),
]

router = SimpleRouter()
router.register("recipes", api.RecipeViewSet)

api_urlpatterns: list[URLPattern | URLResolver] = [
    *router.urls,
]
