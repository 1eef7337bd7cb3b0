"""Cutting: plan it, take the picture to the saw, book what came out; lose a part."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from inventory.base.pages import FormPage, handle_form, notify
from inventory.base.queries import stock_rules
from inventory.base.refusals import Refusal
from inventory.cutting.calc.costs import Loss
from inventory.cutting.forms import MOST_PARTS, CutPartForm, LoseForm, PartSet, SawForm, saw_of
from inventory.cutting.queries import (
    cut_questions,
    lots_to_cut,
    plan_cuts,
    plan_unsealed,
    sealed_plan,
    takes_long,
)
from inventory.cutting.services import cut_by_plan, record_lost_part
from inventory.ledger.queries import first_entries_of
from inventory.models import Lot, Material
from inventory.purchasing.pages.deliveries import one_more
from inventory.shelf.pages import page_of, trail_of


def cut(request: HttpRequest, pk: int) -> HttpResponse:
    """Plan cuts from a material, or from the one piece that the address names."""
    row = get_object_or_404(Material.objects.select_related("species"), pk=pk)
    lot = row.lots.filter(number=request.GET.get("lot", "")).first()
    if request.method != "POST":
        return _show(request, row, lot, SawForm(initial=saw_of(stock_rules())), PartSet())
    if "book" in request.POST:
        return _book(request, row, lot)
    if "more" in request.POST:
        more = one_more(request.POST, MOST_PARTS, CutPartForm)
        return _show(request, row, lot, SawForm(request.POST), PartSet(more))
    saw, parts = SawForm(request.POST), PartSet(request.POST)
    if not (saw.is_valid() and parts.is_valid()):
        return _show(request, row, lot, saw, parts, status=422)
    lots, wanted = lots_to_cut(row, lot), parts.wanted()  # type: ignore[attr-defined]
    # A first plan at once, the best one while it is looked at: the page asks again by itself.
    first = "thorough" not in request.POST and takes_long(lots, wanted)
    try:
        plan = plan_cuts(row, lots, wanted, saw.saw(), first=first)
    except Refusal as refusal:
        return _show(request, row, lot, saw, parts, status=409, refusal=refusal.sentence)
    cuts = list(zip(plan.jobs, plan.pictures, strict=True))
    return _show(
        request,
        row,
        lot,
        saw,
        parts,
        plan=plan,
        cuts=cuts,
        sealed=sealed_plan(plan.jobs),
        questions=cut_questions(plan.jobs),
        again=_asked_again(request) if first and not plan.proven else None,
    )


def _asked_again(request: HttpRequest) -> list[tuple[str, str]]:
    """Return what was asked, for the request that looks for the best plan."""
    kept = (name for name in request.POST if name not in {"csrfmiddlewaretoken", "look"})
    return [(name, value) for name in kept for value in request.POST.getlist(name)]


def lose(request: HttpRequest, number: str) -> HttpResponse:
    """Book a spoilt part as normal or abnormal loss."""
    lot = get_object_or_404(Lot.objects.select_related("material"), number=number)
    form = LoseForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        entries = record_lost_part(lot=lot, now=timezone.now(), user=request.user, **data)
        normal = data["kind"] is Loss.NORMAL and lot.cut_from_id
        words = (
            "The cost is added to the good parts." if normal else "The cost is posted as a loss."
        )
        notify(request, f"{lot.number} is scrapped. {words}", entries)
        return page_of(lot.material)

    asking = FormPage(
        heading=f"Scrap {lot}",
        do="Scrap",
        back=reverse("piece", args=[lot.number]),
        trail=trail_of(lot.material),
    )
    return handle_form(request, form, asking, act)


def _book(request: HttpRequest, row: Material, lot: Lot | None) -> HttpResponse:
    try:
        jobs = plan_unsealed(request.POST.get("plan", ""))
        sure = "sure" in request.POST
        made = cut_by_plan(jobs=jobs, now=timezone.now(), sure=sure, user=request.user)
    except Refusal as refusal:
        saw = SawForm(initial=saw_of(stock_rules()))
        return _show(request, row, lot, saw, PartSet(), status=409, refusal=refusal.sentence)
    numbers = ", ".join(one.number for one in made)
    notify(request, f"Cut: {numbers}. Write the numbers on the wood.", first_entries_of(made))
    return redirect(page_of(row))


def _show(
    request: HttpRequest,
    row: Material,
    lot: Lot | None,
    saw: SawForm,
    parts: Any,
    *,
    status: int = 200,
    **more: Any,
) -> HttpResponse:
    context = {
        "material": row,
        "lot": lot,
        "saw": saw,
        "parts": parts,
        "trail": trail_of(row),
        **more,
    }
    return render(request, "inventory/cutting/cut.html", context, status=status)
