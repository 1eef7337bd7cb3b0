"""The map of addresses: each app brings its own pages and its part of the API."""

from django.urls import URLPattern, URLResolver, include, path

from inventory.rest.description import DescriptionView

api: list[URLPattern | URLResolver] = [
    path("schema/", DescriptionView.as_view(), name="api_schema"),
    path("", include("inventory.api.urls")),
    path("", include("shop.api.urls")),
    path("", include("quotes.api.urls")),
]

urlpatterns = [
    path("api/v1/", include(api)),
    path("stock/", include("inventory.pages.urls")),
    path("", include("quotes.pages.urls")),
    path("", include("shop.pages.urls")),
]

handler400 = "shop.pages.faults.unreadable"
handler403 = "shop.pages.faults.closed"
handler404 = "shop.pages.faults.not_found"
handler500 = "shop.pages.faults.broken"
