"""The working week, and what one person has chosen to see."""

from django.db.models import QuerySet

from shop.models import Preference, WorkingWeek


def working_week() -> WorkingWeek:
    """Return the working week, or the usual one, unsaved, where none was set."""
    return WorkingWeek.objects.first() or WorkingWeek(pk=1)


def units_of(person: int | None) -> QuerySet:
    """Return the row with the units that a person chose, if they did, for use within a query."""
    return Preference.objects.filter(user=person).exclude(units="").values_list("units")[:1]
