"""Builds: what stands where, what each needs, and what is put aside for it."""

from datetime import date

from shop.models import Build


def next_serial(made_on: date) -> str:
    """Return the next free serial number of the year, such as `2027-03`."""
    prefix = f"{made_on.year}-"
    taken = Build.objects.filter(serial__startswith=prefix).values_list("serial", flat=True)
    numbers = [int(tail) for serial in taken if (tail := serial[len(prefix) :]).isdigit()]
    return f"{prefix}{max(numbers, default=0) + 1:02}"
