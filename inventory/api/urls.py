"""Addresses of the inventory app's part of the API."""

from rest_framework.routers import SimpleRouter

from inventory.api import views

router = SimpleRouter()
router.register("families", views.FamilyViewSet)
router.register("places", views.PlaceViewSet)
router.register("suppliers", views.SupplierViewSet)
router.register("materials", views.MaterialViewSet)
router.register("lots", views.LotViewSet)
router.register("pieces", views.PieceViewSet)
router.register("entries", views.EntryViewSet)
router.register("promises", views.PromiseViewSet)
router.register("deliveries", views.DeliveryViewSet)

urlpatterns = router.urls
