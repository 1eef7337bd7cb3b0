"""An entry of the journal: what was done with it at once, correcting it, taking the whole back."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.pages import FormPage, handle_form, notify
from inventory.base.refusals import Refusal
from inventory.ledger.queries import (
    can_be_reversed_alone,
    posting_group,
    reversed_together,
    with_follow_ups,
)
from inventory.ledger.services.reverse import reverse_entry, reverse_groups
from inventory.models import Reason, StockEntry
from inventory.shelf.forms.moves import CorrectForm
from inventory.shelf.pages import page_of, trail_of

TAKEN_BACK = {
    Reason.CUT: "cut",
    Reason.MADE: "kit",
    Reason.SENT_BACK: "return to supplier",
    Reason.SPLIT: "split",
    Reason.SOLD: "sale",
    Reason.DOWNGRADED: "downgrade",
    Reason.REJECTED: "rejection",
    Reason.SCRAPPED: "loss",
}


def entry(request: HttpRequest, pk: int) -> HttpResponse:
    """Everything that was written at once with an entry, and what followed it."""
    row = _find(pk)
    act = with_follow_ups(posting_group(row))
    context = {
        "entry": row,
        "act": act,
        "word": _word(act),
        "alone": can_be_reversed_alone(act),
        "is_open": not any(one.followed_by.all() for one in act),
        "cost": sum(one.cost for one in act),
        "trail": trail_of(row.material),
    }
    return render(request, "inventory/desk/entry.html", context)


def correct(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo an entry by its counter-entry, with the reason; what belongs to it goes with it."""
    row = _find(pk)
    together = reversed_together(row)
    alone = can_be_reversed_alone(together)
    form = CorrectForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        asked = {"now": timezone.now(), "user": request.user, **data}
        if alone:
            reverse_entry(entry=row, **asked)
        else:
            reverse_groups(entries=[row], **asked)
        notify(request, f"Reversed: {row.get_reason_display()}, {row.material}.")
        return page_of(row.material)

    words = f"“{row.get_reason_display()}” of {row.material}"
    asking = FormPage(
        heading=f"Reverse {words}" if alone else f"Reverse this {_word(together)}",
        lede="The entry stays in the journal. A reversing entry is added."
        if alone
        else f"Its {len(together)} entries stay in the journal. Reversing entries are added. "
        "None of the stock may have been used since.",
        do="Reverse",
        back=page_of(row.material),
        trail=trail_of(row.material),
    )
    return handle_form(request, form, asking, act)


@require_POST
def undo(request: HttpRequest, keys: str) -> HttpResponse:
    """Undo what a notice offered to undo."""
    wanted = [int(key) for key in keys.split("-") if key.isdigit() and len(key) < 19]
    entries = list(StockEntry.objects.filter(pk__in=wanted).select_related("material", "lot"))
    if not entries:
        raise Http404
    try:
        reverse_groups(entries=entries, now=timezone.now(), user=request.user)
        notify(request, f"Undone: {entries[0].get_reason_display()}, {entries[0].material}.")
    except Refusal as refusal:
        notify(request, refusal.sentence)
    return redirect(page_of(entries[0].material))


def _find(pk: int) -> StockEntry:
    rows = StockEntry.objects.select_related("material", "lot", "recorded_by")
    return get_object_or_404(rows, pk=pk)


def _word(act: list[StockEntry]) -> str:
    """What the whole is called, such as *cut*: by the first entry that says more than the cost."""
    named = [TAKEN_BACK[Reason(one.reason)] for one in act if one.reason in TAKEN_BACK]
    return named[0] if named else "entry"
