"""Close a build out: keep the comparison of quoted and actual, and a word to oneself."""

from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from inventory.refusals import Refusal
from quotes.calc.snapshot import as_data
from quotes.models import CloseOut, Commission, Quote
from quotes.queries.close_out import close_out_sheet
from shop.models import Build, BuildState
from shop.services.close_build import close_build


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

    Its commission counts as delivered. A second call keeps the first figures and takes the new
    note and prices. Raises Refusal while the build is not finished.
    """
    locked = Build.objects.select_for_update(of=("self",)).get(pk=build.pk)
    kept = CloseOut.objects.filter(build=locked).first()
    if kept is None:
        if locked.state not in {BuildState.FINISHED, BuildState.CLOSED}:
            raise Refusal(
                f"{locked.serial} is {locked.get_state_display()}. Finish the build first."
            )
        kept = CloseOut(build=locked, closed_on=on, figures=as_data(close_out_sheet(locked, on)))
        if locked.state == BuildState.FINISHED:
            close_build(build=locked, now=now)
        quotes = Quote.objects.filter(build=locked).values("commission")
        Commission.objects.filter(pk__in=quotes).update(state=Commission.State.DELIVERED)
    kept.note_to_self = note_to_self
    kept.charge_next_time = charge_next_time
    kept.decline_under = decline_under
    kept.save()
    return kept
