"""Download everything: all data as one file."""

from django.db import connection
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import render

from inventory.base.roles import OWNER, allow_roles
from inventory.models import Workshop
from shop.archive.documents import send_everything


@allow_roles(OWNER)
def everything(request: HttpRequest) -> HttpResponse | StreamingHttpResponse:
    """Say what the file holds; asked for by its button, send it."""
    if request.method == "POST":
        return send_everything(Workshop.objects.get())
    context = {"has_database": connection.vendor == "sqlite"}
    return render(request, "shop/archive/everything.html", context)
