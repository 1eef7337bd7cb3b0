"""Addresses of desk: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from quotes.desk import pages
from quotes.desk.api.clients import ClientViewSet, CommissionViewSet

urlpatterns: list[URLPattern | URLResolver] = [
    path("clients/", pages.clients, name="clients"),
    path("clients/new/", pages.client_new, name="client_new"),
    path("clients/<int:pk>/", pages.client, name="client"),
    path("clients/<int:pk>/edit/", pages.client_edit, name="client_edit"),
    path("commissions/<int:pk>/", pages.commission, name="commission"),
    path("books/", pages.books, name="books"),
    path("books/today/", pages.today_books, name="today_books"),
    path("books/first-steps/", pages.today_steps, name="today_steps"),
]

router = SimpleRouter()
router.register("clients", ClientViewSet)
router.register("commissions", CommissionViewSet)

api_urlpatterns: list[URLPattern | URLResolver] = [
    *router.urls,
]
