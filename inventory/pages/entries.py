"""An entry of the journal: what was done with it at once, correcting it, taking the whole back."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.forms.moves import CorrectForm
from inventory.models import Reason, StockEntry
from inventory.pages.asking import Asking, ask, tell
from inventory.pages.materials import page_of, trail_of
from inventory.queries.acts import act_of, bound_to, stands_alone, with_followers
from inventory.refusals import Refusal
from inventory.services.correct_entry import correct_entry
from inventory.services.undo_entries import undo_entries

TAKEN_BACK = {
    Reason.CUT: "cut",
    Reason.MADE: "make-up",
    Reason.SENT_BACK: "sending back",
    Reason.SPLIT: "split",
    Reason.SOLD: "sale",
    Reason.DOWNGRADED: "downgrading",
    Reason.REJECTED: "rejection",
    Reason.SCRAPPED: "loss",
}


def entry(request: HttpRequest, pk: int) -> HttpResponse:
    """Everything that was written at once with an entry, and what followed it."""
    row = _find(pk)
    act = with_followers(act_of(row))
    context = {
        "entry": row,
        "act": act,
        "word": _word(act),
        "alone": stands_alone(act),
        "is_open": not any(one.followed_by.all() for one in act),
        "cost": sum(one.cost for one in act),
        "trail": trail_of(row.material),
    }
    return render(request, "inventory/entry.html", context)


def correct(request: HttpRequest, pk: int) -> HttpResponse:
    """Undo an entry by its counter-entry, with the reason; what belongs to it goes with it."""
    row = _find(pk)
    together = bound_to(row)
    alone = stands_alone(together)
    form = CorrectForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        asked = {"now": timezone.now(), "user": request.user, **data}
        if alone:
            correct_entry(entry=row, **asked)
        else:
            undo_entries(entries=[row], **asked)
        tell(request, f"Taken back: {row.get_reason_display()} of {row.material}.")
        return page_of(row.material)

    words = f"“{row.get_reason_display()}” of {row.material}"
    asking = Asking(
        heading=f"Correct {words}" if alone else f"Take this {_word(together)} back",
        lede="The entry stays in the journal; its opposite is added beside it."
        if alone
        else f"Its {len(together)} entries stay in the journal; their opposites are added beside "
        "them. Nothing of it may have been used since.",
        do="Correct it" if alone else "Take it back",
        back=page_of(row.material),
        trail=trail_of(row.material),
    )
    return ask(request, form, asking, act)


@require_POST
def undo(request: HttpRequest, keys: str) -> HttpResponse:
    """Undo what a notice offered to undo."""
    wanted = [int(key) for key in keys.split("-") if key.isdigit() and len(key) < 19]
    entries = list(StockEntry.objects.filter(pk__in=wanted).select_related("material", "lot"))
    if not entries:
        raise Http404
    try:
        undo_entries(entries=entries, now=timezone.now(), user=request.user)
        tell(request, f"Undone: {entries[0].get_reason_display()} of {entries[0].material}.")
    except Refusal as refusal:
        tell(request, refusal.sentence)
    return redirect(page_of(entries[0].material))


def _find(pk: int) -> StockEntry:
    rows = StockEntry.objects.select_related("material", "lot", "recorded_by")
    return get_object_or_404(rows, pk=pk)


def _word(act: list[StockEntry]) -> str:
    """What the whole is called, such as *cut*: by the first entry that says more than the cost."""
    named = [TAKEN_BACK[Reason(one.reason)] for one in act if one.reason in TAKEN_BACK]
    return named[0] if named else "entry"
