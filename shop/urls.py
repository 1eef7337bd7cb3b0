"""The map of addresses: each app brings its own pages and its part of the API."""

from django.urls import URLPattern, URLResolver, include, path

from inventory.base.api.description import DescriptionView

api: list[URLPattern | URLResolver] = [
    path("schema/", DescriptionView.as_view(), name="api_schema"),
    path("", include("inventory.api_urls")),
    path("", include("shop.api_urls")),
    path("", include("quotes.api_urls")),
]

urlpatterns = [
    path("api/v1/", include(api)),
    path("stock/", include("inventory.urls")),
    path("", include("quotes.urls")),
    path("", include("shop.page_urls")),
]

handler400 = "shop.desk.pages.faults.unreadable"
handler403 = "shop.desk.pages.faults.closed"
handler404 = "shop.desk.pages.faults.not_found"
handler500 = "shop.desk.pages.faults.broken"
