"""Give out the next number of a series."""

from django.db import transaction
from django.db.models import F

from inventory.models import Series


@transaction.atomic
def next_number(*, series: str, count: int = 1) -> int:
    """Return the first of the `count` next numbers of `series`, which starts at 1.

    The counter stays locked until the caller's transaction ends: a number that is rolled back is
    given again, so a series has no gaps.
    """
    Series.objects.get_or_create(key=series)
    Series.objects.filter(key=series).update(last=F("last") + count)
    return Series.objects.get(key=series).last - count + 1
