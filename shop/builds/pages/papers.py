"""Papers of a build: the card at the bench."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from inventory.models import Workshop
from shop.builds.documents import print_job_card
from shop.builds.pages.builds import find_build
from shop.builds.queries.job_card import job_card_of


def job_card(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the card that hangs at the bench, with boxes to tick by pencil."""
    card = job_card_of(find_build(pk), timezone.localdate())
    return render(request, "shop/builds/job_card.html", {"build": card.build, "card": card})


def job_card_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """Print the card that hangs at the bench."""
    row = find_build(pk)
    shop = Workshop.objects.get()
    on = timezone.localdate()
    printed = print_job_card(job_card_of(row, on), shop, on)
    return _pdf(printed, f"job-card-{row.serial}")


def _pdf(printed: bytes, name: str) -> HttpResponse:
    headers = {"Content-Disposition": f'inline; filename="{name}.pdf"'}
    return HttpResponse(printed, content_type="application/pdf", headers=headers)
