"""Addresses of sending: its pages, and its part of the API."""

from django.urls import URLPattern, URLResolver, path
from rest_framework.routers import SimpleRouter

from quotes.sending import pages
from quotes.sending.api import MailViewSet

urlpatterns: list[URLPattern | URLResolver] = [
    path("send/<str:kind>/<int:pk>/", pages.send, name="send"),
    path("mails/<int:pk>/", pages.mail, name="mail"),
    path("mails/<int:pk>/paper/", pages.mail_document, name="mail_document"),
    path("mails/<int:pk>/sent/", pages.mail_sent, name="mail_sent"),
]

router = SimpleRouter()
router.register("mails", MailViewSet)

api_urlpatterns: list[URLPattern | URLResolver] = [*router.urls]
