"""Addresses of the inventory app's part of the API."""

from django.urls import path
from rest_framework.routers import SimpleRouter

from inventory.api import deep_views, string_sets, views

router = SimpleRouter()
router.register("families", views.FamilyViewSet)
router.register("places", views.PlaceViewSet)
router.register("suppliers", views.SupplierViewSet)
router.register("materials", views.MaterialViewSet)
router.register("lots", views.LotViewSet)
router.register("pieces", views.PieceViewSet)
router.register("entries", views.EntryViewSet)
router.register("sales", views.SaleViewSet)
router.register("promises", views.PromiseViewSet)
router.register("deliveries", views.DeliveryViewSet)
router.register("species", deep_views.SpeciesViewSet)
router.register("meters", deep_views.MeterViewSet)
router.register("counts", deep_views.CountViewSet)
router.register("count-lines", deep_views.CountLineViewSet)
router.register("orders", deep_views.OrderViewSet)
router.register("recipes", deep_views.RecipeViewSet)
router.register("string-sets", string_sets.StringSetViewSet)

urlpatterns = [
    path("to-buy/", deep_views.ToBuyView.as_view()),
    path("holders/<str:holder>/contents/", deep_views.ContentsView.as_view()),
    *router.urls,
]
