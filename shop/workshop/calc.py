"""What days off have to be, asked on the page and by the API."""

from datetime import date

from inventory.base.refusals import Refusal


def check_days_off(first: date | None, last: date | None) -> None:
    """Refuse days off that end before they begin."""
    if first and last and last < first:
        raise Refusal(f"Give {first} or a later day.", field="last")
