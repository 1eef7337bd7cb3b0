"""Addresses of the inventory app's part of the API."""

from django.urls import path
from rest_framework.routers import SimpleRouter

from inventory.counting import api as counts
from inventory.cutting import api as cutting
from inventory.desk.api import journal, lists, lots, materials, pieces, traces
from inventory.desk.api import value as books
from inventory.kits import api as recipes
from inventory.paperwork import api as papers
from inventory.purchasing.api import buying, deliveries, orders, prices
from inventory.reservations import api as promises
from inventory.strings.api import fretwire_and_rules as reckoning
from inventory.strings.api import string_sets
from inventory.wood import api as wood

router = SimpleRouter()
router.register("families", lists.FamilyViewSet)
router.register("places", lists.PlaceViewSet)
router.register("suppliers", lists.SupplierViewSet)
router.register("materials", materials.MaterialViewSet)
router.register("lots", lots.LotViewSet)
router.register("pieces", pieces.PieceViewSet)
router.register("entries", journal.EntryViewSet)
router.register("sales", journal.SaleViewSet)
router.register("promises", promises.PromiseViewSet)
router.register("deliveries", deliveries.DeliveryViewSet)
router.register("species", wood.SpeciesViewSet)
router.register("meters", wood.MeterViewSet)
router.register("meter-species", wood.MeterSpeciesViewSet)
router.register("weighings", wood.WeighingViewSet)
router.register("moisture-readings", wood.MoistureReadingViewSet)
router.register("papers", papers.PaperViewSet)
router.register("counts", counts.CountViewSet)
router.register("count-lines", counts.CountLineViewSet)
router.register("orders", orders.OrderViewSet)
router.register("credits", orders.CreditViewSet)
router.register("price-breaks", prices.PriceBreakViewSet)
router.register("recipes", recipes.RecipeViewSet)
router.register("string-sets", string_sets.StringSetViewSet)

urlpatterns = [
    path("cutting-plans/", cutting.CuttingPlanView.as_view()),
    path("cutting-plans/read/", cutting.CuttingPlanReadView.as_view()),
    path("cutting-plans/book/", cutting.CuttingPlanBookView.as_view()),
    path("fretwire/", reckoning.FretwireView.as_view()),
    path("lots/<str:number>/papers/", papers.LotPapersView.as_view()),
    path("papers/<int:pk>/file/", papers.PaperFileView.as_view()),
    path("materials/<int:pk>/prices/", prices.PricesView.as_view()),
    path("materials/<int:pk>/buying-advice/", prices.AdviceView.as_view()),
    path("stock-rules/", reckoning.StockRulesView.as_view()),
    path("stock-value/", books.StockValueView.as_view()),
    path("stock-value/table/", books.StockValueTableView.as_view()),
    path("journal/table/", books.JournalTableView.as_view()),
    path("holders/<str:holder>/customs/", papers.CustomsView.as_view()),
    path("to-buy/", buying.ToBuyView.as_view()),
    path("holders/<str:holder>/contents/", traces.ContentsView.as_view()),
    *router.urls,
]
