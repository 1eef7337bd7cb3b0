"""Addresses of invoicing: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from quotes.invoicing import pages
from quotes.invoicing.api.money import InvoiceViewSet, OwedView, PaymentViewSet

urlpatterns: list[URLPattern | URLResolver] = [
    path("clients/<int:pk>/statement/<str:currency>/", pages.statement, name="statement"),
    path("commissions/<int:pk>/payment/", pages.payment_new, name="payment_new"),
    path("quotes/<int:pk>/invoice/<int:part>/", pages.invoice_part, name="invoice_part"),
    path("changes/<int:pk>/invoice/", pages.invoice_change, name="invoice_change"),
    path("invoices/<int:pk>/", pages.invoice, name="invoice"),
    path("invoices/<int:pk>/paper/", pages.invoice_document, name="invoice_document"),
    path("invoices/<int:pk>/credit/", pages.invoice_credit, name="invoice_credit"),
    path("payments/<int:pk>/correct/", pages.payment_correct, name="payment_correct"),
    path("payments/<int:pk>/receipt/", pages.payment_receipt, name="payment_receipt"),
]

router = SimpleRouter()
router.register("invoices", InvoiceViewSet)
router.register("payments", PaymentViewSet)

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("owed/", OwedView.as_view(), name="api_owed"),
    *router.urls,
]
