"""Close a build out, and record what it cost beside what was drawn from stock."""

from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from inventory.base.calc.money import check_whole_units
from inventory.base.queries import home_currency
from inventory.base.refusals import Refusal
from quotes.base.calc.snapshot import as_data
from quotes.base.locking import lock_commission
from quotes.closing.queries.close_out import close_out_sheet
from quotes.closing.queries.late_costs import corrected_sheet
from quotes.models import CloseOut, Commission, Expense, Quote
from shop.builds.services.end import close_build
from shop.models import FINISHED_STATES, OPEN_STATES, Build, BuildLine, BuildState


@transaction.atomic
def close_out(
    *,
    build: Build,
    on: date,
    now: datetime,
    note_to_self: str = "",
    charge_next_time: Decimal | None = None,
    decline_under: Decimal | None = None,
) -> CloseOut:
    """Return the close-out of a finished build, kept with every figure as it stands now.

    Its commission counts as delivered once all instruments of its order are. A second call keeps
    the first figures and takes the new note and prices. Raises Refusal while the build is not
    finished.
    """
    for commission in Quote.objects.filter(build=build).values_list("commission", flat=True):
        lock_commission(commission)
    locked = Build.objects.select_for_update(of=("self",)).get(pk=build.pk)
    kept = CloseOut.objects.filter(build=locked).first()
    if kept is None:
        if locked.state not in FINISHED_STATES:
            raise Refusal(
                f"{locked.serial} is {locked.get_state_display()}. Finish the build first."
            )
        kept = CloseOut(build=locked, closed_on=on, figures=as_data(close_out_sheet(locked, on)))
        if locked.state == BuildState.FINISHED:
            close_build(build=locked, now=now)
        _deliver(locked)
    kept.note_to_self = note_to_self
    kept.charge_next_time = charge_next_time
    kept.decline_under = decline_under
    kept.save()
    return kept


@transaction.atomic
def correct_close_out(*, build: Build, on: date) -> CloseOut:
    """Take into a close-out what its lines without a cost cost after all, and say when.

    What was first kept stays beside it. Raises Refusal where the build is not closed out, or
    nothing of it was drawn or priced since.
    """
    kept = _locked_close_out(build)
    if kept is None:
        raise Refusal(f"{build.serial} is not closed out yet.")
    if not _correct(kept, on):
        raise Refusal("Nothing was drawn or priced since for a line without a cost.")
    return kept


def _locked_close_out(build: Build) -> CloseOut | None:
    return CloseOut.objects.select_for_update(of=("self",)).filter(build=build).first()


def _correct(kept: CloseOut, on: date) -> bool:
    """Take in what became known; say whether anything did."""
    sheet = corrected_sheet(kept)
    if sheet is None:
        return False
    kept.first_figures = kept.first_figures or kept.figures
    kept.figures = as_data(sheet)
    kept.corrected_on = on
    kept.save(update_fields=["first_figures", "figures", "corrected_on"])
    return True


def _deliver(build: Build) -> None:
    """Mark the commission of a build as delivered, once no instrument of its order is open."""
    quote = Quote.objects.filter(build=build).select_related("part_of").first()
    if quote is None:
        return
    order = quote.part_of or quote
    builds = Build.objects.filter(quote__in=order.instruments).exclude(pk=build.pk)
    if not builds.filter(state__in=[*OPEN_STATES, BuildState.FINISHED]).exists():
        Commission.objects.filter(pk=quote.commission_id).update(state=Commission.State.DELIVERED)


@transaction.atomic
def record_expense(
    *,
    build: Build,
    kind: str,
    amount: Decimal,
    paid_on: date,
    about: str = "",
    line: BuildLine | None = None,
    on: date | None = None,
) -> Expense:
    """Return the expense; from the first of its kind on, what was quoted for it counts no more.

    A material's is what a line of the build cost that was not drawn from stock, 0 where nothing
    was used; a close-out that lacks it is corrected by it, `on` a day or the one it was paid on.
    Raises Refusal on an amount below 0, an unknown kind, and a line that is missing or another
    build's.
    """
    if amount < 0:
        raise Refusal("The cost must be 0 or more.", field="amount")
    check_whole_units(amount, home_currency())
    if kind not in Expense.Kind.values:
        raise Refusal(
            "A cost is for outside work or shipping, or for a material not from stock.",
            field="kind",
        )
    if (kind == Expense.Kind.MATERIAL) != (line is not None):
        raise Refusal("Name the line for a material not from stock, and only then.", field="line")
    if line is not None and line.build_id != build.pk:
        raise Refusal(f"{line} is a line of another build.", field="line")
    made = Expense.objects.create(
        build=build,
        kind=kind,
        amount=amount,
        paid_on=paid_on,
        about=about.strip() or (line.name if line else ""),
        line=line,
    )
    if line is not None and (kept := _locked_close_out(build)):
        _correct(kept, on or paid_on)
    return made


@transaction.atomic
def remove_expense(*, expense: Expense) -> None:
    """Delete the expense; a close-out that was kept before stays as it is.

    Raises Refusal for the cost of a line of a build that is closed out: its figures rest on it.
    """
    if expense.line_id is not None and (kept := _locked_close_out(expense.build)):
        raise Refusal(
            f"{expense.build.serial} was closed out on {kept.closed_on.day} "
            f"{kept.closed_on:%B %Y} with this cost, so it can't be deleted."
        )
    expense.delete()
