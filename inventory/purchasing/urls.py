"""Addresses of purchasing: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from inventory.purchasing.api import bills as bills_api
from inventory.purchasing.api import buying as buying_api
from inventory.purchasing.api import deliveries as deliveries_api
from inventory.purchasing.api import orders
from inventory.purchasing.api import price_table as price_table_api
from inventory.purchasing.api import prices as prices_api
from inventory.purchasing.pages import bills, buying, deliveries, price_table, prices

urlpatterns: list[URLPattern | URLResolver] = [
    path("to-buy/", buying.to_buy, name="to_buy"),
    path("orders/", buying.order_list, name="orders"),
    path("orders/<int:pk>/", buying.order, name="order"),
    path("orders/<int:pk>/sheet.pdf", buying.order_pdf, name="order_pdf"),
    path("orders/<int:pk>/close/", buying.close, name="close_order"),
    path("credits/<int:pk>/settle/", buying.settle, name="settle_credit"),
    path("prices/", price_table.price_table, name="price_table"),
    path("m/<int:pk>/prices/", prices.prices, name="prices"),
    path("m/<int:pk>/level/", prices.take_level, name="take_level"),
    path("breaks/<int:pk>/remove/", prices.remove_break, name="remove_break"),
    path("bills/", bills.bills, name="bills"),
    path("bills/new/", bills.new_bill, name="new_bill"),
    path("bills/<int:pk>/", bills.bill, name="bill"),
    path("bills/<int:pk>/correct/", bills.correct, name="correct_bill"),
    path("bills/<int:pk>/void/", bills.void, name="void_bill"),
    path("bills/<int:pk>/paid/", bills.pay, name="pay_bill"),
    path("bills/<int:pk>/deliveries/", bills.cover, name="cover_deliveries"),
    path("purchases/<int:year>/", bills.purchases, name="purchases"),
    path("purchases/<int:year>/<slug:table>.csv", bills.purchases_csv, name="purchases_csv"),
    path("purchases/<int:year>.xlsx", bills.purchases_xlsx, name="purchases_xlsx"),
    path("deliveries/", deliveries.deliveries, name="deliveries"),
    path("deliveries/new/", deliveries.new_delivery, name="new_delivery"),
    path("deliveries/<int:pk>/", deliveries.delivery, name="delivery"),
    path("deliveries/<int:pk>/take-back/", deliveries.take_back, name="take_back_delivery"),
]

router = SimpleRouter()
router.register("deliveries", deliveries_api.DeliveryViewSet)
router.register("bills", bills_api.BillViewSet)
router.register("orders", orders.OrderViewSet)
router.register("credits", orders.CreditViewSet)
router.register("price-breaks", prices_api.PriceBreakViewSet)

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("prices/", price_table_api.PriceTableView.as_view()),
    path("materials/<int:pk>/prices/", prices_api.PricesView.as_view()),
    path("materials/<int:pk>/buying-advice/", prices_api.AdviceView.as_view()),
    path("purchases/<int:year>/", bills_api.PurchasesView.as_view()),
    path("purchases/<int:year>/tables/", bills_api.PurchasesTablesView.as_view()),
    path("to-buy/", buying_api.ToBuyView.as_view()),
    *router.urls,
]
