"""Addresses of invoicing: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path, re_path
from rest_framework.routers import SimpleRouter

from quotes.invoicing.api.money import InvoiceViewSet, OwedView, PaymentViewSet
from quotes.invoicing.pages import invoices, lists

urlpatterns: list[URLPattern | URLResolver] = [
    path("clients/<int:pk>/statement/<str:currency>/", invoices.statement, name="statement"),
    path("commissions/<int:pk>/payment/", invoices.payment_new, name="payment_new"),
    path("quotes/<int:pk>/invoice/<int:part>/", invoices.invoice_part, name="invoice_part"),
    path("changes/<int:pk>/invoice/", invoices.invoice_change, name="invoice_change"),
    path("invoices/", lists.invoices, name="invoices"),
    re_path(r"^invoices/list\.(?P<kind>csv|xlsx)$", lists.invoices_file, name="invoices_file"),
    path("invoices/<int:pk>/", invoices.invoice, name="invoice"),
    path("invoices/<int:pk>/paper/", invoices.invoice_document, name="invoice_document"),
    path("invoices/<int:pk>/credit/", invoices.invoice_credit, name="invoice_credit"),
    path("payments/<int:pk>/correct/", invoices.payment_correct, name="payment_correct"),
    path("payments/<int:pk>/receipt/", invoices.payment_receipt, name="payment_receipt"),
]

router = SimpleRouter()
router.register("invoices", InvoiceViewSet)
router.register("payments", PaymentViewSet)

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("owed/", OwedView.as_view(), name="api_owed"),
    *router.urls,
]
