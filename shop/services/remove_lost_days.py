"""Remove a note of lost days that was made by mistake."""

from django.db import transaction

from shop.models import LostDays


@transaction.atomic
def remove_lost_days(*, lost: LostDays) -> None:
    """Delete the note; a close-out that was kept before stays as it is."""
    lost.delete()
