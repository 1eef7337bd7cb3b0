"""Addresses of client page: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from quotes.client_page.api import ClientLinkViewSet, ClientMessageViewSet, DecisionViewSet
from quotes.client_page.pages import links, offer, offer_change

urlpatterns: list[URLPattern | URLResolver] = [
    path("quotes/<int:pk>/link/", links.quote_link, name="quote_link"),
    path("quotes/<int:pk>/acceptance/", links.quote_acceptance, name="quote_acceptance"),
    path("quotes/links/<int:pk>/withdraw/", links.link_withdraw, name="link_withdraw"),
    path("quotes/messages/<int:pk>/seen/", links.message_seen, name="message_seen"),
    path("offer/<slug:secret>/", offer.offer, name="offer"),
    path("offer/<slug:secret>/paper/", offer.offer_paper, name="offer_paper"),
    path("offer/<slug:secret>/signed/", offer.offer_signed, name="offer_signed"),
    path("offer/<slug:secret>/picture/<int:place>/", offer.offer_picture, name="offer_picture"),
    path("offer/<slug:secret>/photo/<int:pk>/", offer.offer_photo, name="offer_photo"),
    path("offer/<slug:secret>/accept/", offer.offer_accept, name="offer_accept"),
    path("offer/<slug:secret>/decline/", offer.offer_decline, name="offer_decline"),
    path("offer/change/<slug:secret>/", offer_change.offer_change, name="offer_change"),
    path(
        "offer/change/<slug:secret>/paper/",
        offer_change.offer_change_paper,
        name="offer_change_paper",
    ),
    path(
        "offer/change/<slug:secret>/signed/",
        offer_change.offer_change_signed,
        name="offer_change_signed",
    ),
    path(
        "offer/change/<slug:secret>/agree/",
        offer_change.offer_change_agree,
        name="offer_change_agree",
    ),
    path(
        "offer/change/<slug:secret>/decline/",
        offer_change.offer_change_decline,
        name="offer_change_decline",
    ),
    path("offer/", offer.offer_nowhere, {"secret": ""}, name="offer_without_secret"),
    path("offer/<path:secret>", offer.offer_nowhere, name="offer_nowhere"),
    path("changes/<int:pk>/link/", links.change_link, name="change_link"),
    path("changes/<int:pk>/agreement/", links.change_agreement, name="change_agreement"),
]

router = SimpleRouter()
router.register("client-links", ClientLinkViewSet)
router.register("client-messages", ClientMessageViewSet)
router.register("decisions", DecisionViewSet)

api_urlpatterns: list[URLPattern | URLResolver] = [
    *router.urls,
]
