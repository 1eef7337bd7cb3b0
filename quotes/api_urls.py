"""Addresses of the quotes app's part of the API."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from quotes.client_page.api import ClientLinkViewSet, ClientMessageViewSet, DecisionViewSet
from quotes.closing.api import CloseOutView, ExpenseViewSet
from quotes.desk.api import ClientViewSet, CommissionViewSet
from quotes.invoicing.api.money import ChangeViewSet, InvoiceViewSet, OwedView, PaymentViewSet
from quotes.pricing.api import PolicyView, TaxRateViewSet
from quotes.quoting.api import hours, rows
from quotes.quoting.api.pieces import RowProposalsView
from quotes.quoting.api.quotes import QuoteViewSet
from quotes.risk.api import QuoteRiskView
from quotes.shop_rate.api import ShopRateView
from quotes.year.api import BooksYearView

router = SimpleRouter()
router.register("clients", ClientViewSet)
router.register("commissions", CommissionViewSet)
router.register("quotes", QuoteViewSet)
router.register("changes", ChangeViewSet)
router.register("invoices", InvoiceViewSet)
router.register("payments", PaymentViewSet)
router.register("expenses", ExpenseViewSet)
router.register("tax-rates", TaxRateViewSet)
router.register("client-links", ClientLinkViewSet)
router.register("client-messages", ClientMessageViewSet)
router.register("decisions", DecisionViewSet)

urlpatterns: list[URLPattern | URLResolver] = [
    path("quotes/<int:pk>/hours/", hours.QuoteHoursView.as_view(), name="api_quote_hours"),
    path("quotes/<int:pk>/risk/", QuoteRiskView.as_view(), name="api_quote_risk"),
    path("quotes/<int:pk>/rows/add/", rows.RowAddView.as_view(), name="api_row_add"),
    path("quotes/<int:pk>/rows/remove/", rows.RowRemoveView.as_view(), name="api_row_remove"),
    path("quotes/<int:pk>/failures/", rows.FailureNewView.as_view(), name="api_failure_new"),
    path(
        "quotes/<int:pk>/failures/<int:failure_pk>/",
        rows.FailureView.as_view(),
        name="api_failure",
    ),
    path("quotes/<int:pk>/set-price/", rows.PriceSetView.as_view(), name="api_set_price"),
    path(
        "quotes/<int:pk>/materials/<int:row_pk>/proposals/",
        RowProposalsView.as_view(),
        name="api_row_proposals",
    ),
    path("books/<int:year>/", BooksYearView.as_view(), name="api_year"),
    path("builds/<int:pk>/close-out/", CloseOutView.as_view(), name="api_close_out"),
    path("pricing-policy/", PolicyView.as_view(), name="api_pricing_policy"),
    path("shop-rate/", ShopRateView.as_view(), name="api_shop_rate"),
    path("owed/", OwedView.as_view(), name="api_owed"),
    *router.urls,
]
