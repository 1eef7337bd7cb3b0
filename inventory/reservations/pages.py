"""Promises on the desk: let go of one, and put it aside again."""

from decimal import Decimal

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.pages import notify
from inventory.base.refusals import Refusal
from inventory.ledger.refusals import quantity_in_words
from inventory.models import Promise
from inventory.reservations.services import release_reservation, reserve_stock
from inventory.shelf.pages import page_of


@require_POST
def release(request: HttpRequest, pk: int) -> HttpResponse:
    """Let go of what a promise still holds, with a way to put it aside again."""
    promise = _find(pk)
    held = promise.outstanding
    release_reservation(promise=promise, now=timezone.now())
    words = f"Released: {quantity_in_words(held, promise.material)} of {promise.material}."
    again = f"{reverse('promise_again', args=[pk])}?quantity={held.normalize():f}"
    messages.success(request, words, extra_tags=again if held else "")
    return redirect(page_of(promise.material))


@require_POST
def promise_again(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo letting go: promise the same to the same holder, if it is still free."""
    promise = _find(pk)
    try:
        quantity = Decimal(request.GET.get("quantity", ""))
        if not 0 < quantity <= promise.quantity:
            raise Http404
    except ArithmeticError:
        raise Http404 from None
    try:
        reserve_stock(
            material=promise.material,
            quantity=quantity,
            lot=promise.lot,
            holder=promise.holder,
            holder_name=promise.holder_name,
            line=promise.line,
            until=promise.until,
            now=timezone.now(),
        )
        notify(request, f"Reserved again for {promise.holder_name}.")
    except Refusal as refusal:
        notify(request, refusal.sentence)
    return redirect(page_of(promise.material))


def _find(pk: int) -> Promise:
    return get_object_or_404(Promise.objects.select_related("material", "lot"), pk=pk)
