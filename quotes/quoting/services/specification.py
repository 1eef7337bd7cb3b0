"""The specification of a draft: its rows, written as one table."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db import transaction

from inventory.base.refusals import Refusal
from quotes.base.locking import lock_draft
from quotes.models import Quote, QuoteMaterial, QuoteSpec


@dataclass(frozen=True, slots=True, kw_only=True)
class SpecAsked:
    """A row as it is to be; without a name it goes. The piece for `material` fills it."""

    name: str
    value: str = ""
    unit: str = ""
    choices: str = ""
    is_asked: bool = True
    material: QuoteMaterial | None = None
    option: str = ""


@transaction.atomic
def edit_specification(
    *, quote: Quote, rows: Sequence[SpecAsked], text: str | None = None
) -> Quote:
    """Write `rows` in place of those that a draft has, and its free words unless None.

    Raises NotADraft, and Refusal on two rows of one name, on an option that the quote doesn't have,
    and on a material of another quote.
    """
    draft = lock_draft(quote)
    named = [row for row in rows if row.name.strip()]
    _check(draft, named)
    draft.specs.all().delete()
    QuoteSpec.objects.bulk_create(
        QuoteSpec(
            quote=draft,
            position=position,
            name=row.name.strip(),
            value=row.value.strip(),
            unit=row.unit.strip(),
            choices=row.choices,
            is_asked=row.is_asked,
            material=row.material,
            option=row.option,
        )
        for position, row in enumerate(named, start=1)
    )
    if text is not None:
        draft.specification = text
        draft.save(update_fields=["specification"])
    return draft


def _check(draft: Quote, rows: Sequence[SpecAsked]) -> None:
    seen: set[tuple[str, str]] = set()
    for row in rows:
        key = (row.name.strip().casefold(), row.option)
        if key in seen:
            raise Refusal(f"{row.name.strip()} is there twice. Keep one of the rows.")
        seen.add(key)
        if row.material is not None and row.material.quote_id != draft.pk:
            raise Refusal(f"The material of {row.name} is a line of another quote.")
