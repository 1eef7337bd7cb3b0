"""Days lost: of a build by reason, and the reasons a shop has given so far."""

from shop.builds.calc import USUAL_REASONS, LostTime, add_up_lost
from shop.models import Build, LostDays


def lost_days_of(build: Build) -> tuple[LostTime, ...]:
    """Return what a build lost, by reason. One query."""
    return add_up_lost(build.lost_days.values_list("reason", "days"))


def reasons_for_lost_days() -> list[str]:
    """Return the usual reasons and those of the shop's own, without doubles. One query."""
    own = LostDays.objects.order_by("reason").values_list("reason", flat=True).distinct()
    return list({reason.casefold(): reason for reason in (*USUAL_REASONS, *own)}.values())
