"""Addresses of closing: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from quotes.closing import pages
from quotes.closing.api import (
    CertificateView,
    CloseOutView,
    CorrectCloseOutView,
    ExpenseViewSet,
    OrderCloseOutView,
)

urlpatterns: list[URLPattern | URLResolver] = [
    path("builds/<int:pk>/certificate/", pages.certificate, name="certificate"),
    path("builds/<int:pk>/close-out/", pages.close_out, name="close_out"),
    path("builds/<int:pk>/close-out/correct/", pages.correct, name="correct_close_out"),
    path("quotes/<int:pk>/close-out/", pages.order_close_out, name="order_close_out"),
    path("builds/expenses/<int:pk>/remove/", pages.expense_remove, name="expense_remove"),
]

router = SimpleRouter()
router.register("expenses", ExpenseViewSet)

api_urlpatterns: list[URLPattern | URLResolver] = [
    path("builds/<int:pk>/close-out/", CloseOutView.as_view(), name="api_close_out"),
    path(
        "builds/<int:pk>/close-out/correct/",
        CorrectCloseOutView.as_view(),
        name="api_correct_close_out",
    ),
    path("quotes/<int:pk>/close-out/", OrderCloseOutView.as_view(), name="api_order_close_out"),
    path("builds/<int:pk>/certificate/", CertificateView.as_view(), name="api_certificate"),
    *router.urls,
]
