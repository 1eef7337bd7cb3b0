"""A commission's own page."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.refusals import Refusal
from quotes.models import Commission
from quotes.queries.commission import commission_page
from quotes.services.cancel_commission import cancel_commission


def commission(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a commission from first talk to last payment."""
    try:
        page = commission_page(pk, timezone.localdate())
    except Commission.DoesNotExist:
        raise Http404 from None
    return render(request, "quotes/commission.html", {"page": page, "rows": page.quotes})


@require_POST
def commission_cancel(request: HttpRequest, pk: int) -> HttpResponse:
    """Cancel a commission and release everything."""
    row = get_object_or_404(Commission, pk=pk)
    try:
        why = request.POST.get("why", "")
        cancel_commission(commission=row, now=timezone.now(), why=why, user=request.user)
        messages.success(request, "Cancelled; everything put aside is free again.")
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    return redirect("commission", pk)
