"""What one person has chosen to see."""

from django.db.models import QuerySet

from shop.models import Preference


def units_of(person: int | None) -> QuerySet:
    """Return the row with the units that a person chose, if they did, for use within a query."""
    return Preference.objects.filter(user=person).exclude(units="").values_list("units")[:1]
