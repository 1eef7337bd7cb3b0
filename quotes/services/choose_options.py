"""Choose options of a quote that was sent: a new version at the prices that were frozen with it."""

from collections.abc import Collection
from dataclasses import replace
from datetime import date

from django.db.models import Max

from inventory.services.hand_over_promises import hand_over_promises
from quotes.calc.choices import options_chosen, with_choices
from quotes.calc.offer import Offer, read_parts
from quotes.calc.snapshot import as_data, from_data
from quotes.copying import copy_rows
from quotes.freezing import freeze, rename_keys
from quotes.keeping import all_or_nothing
from quotes.locking import lock_quote
from quotes.models import Quote
from quotes.queries.choices import frozen_choices

OF_ITS_OWN = frozenset(
    {"id", "version", "options", "offered", "frozen", "gross", "document", "document_sha256"}
)


@all_or_nothing()
def choose_options(*, quote: Quote, wanted: Collection[str], on: date) -> Quote:
    """Return the version of an issued quote in which, of the options offered, `wanted` are on.

    That is the quote itself if they are so already. Otherwise it is a new version, issued `on`
    and frozen at once: rows, policy, pieces and last day are the old one's, each switched option
    has its frozen price, and what was held goes over to it. The old version is replaced. Raises
    Refusal on an option that was not offered.
    """
    old = lock_quote(quote)
    choices = frozen_choices(old)
    options = options_chosen(old.options, choices, wanted)
    if set(options) == set(old.options):
        return old
    offer = with_choices(
        from_data(Offer, (old.frozen or {})["offer"]), choices, options, read_parts(old.parts)
    )
    new = _next_version(old, options, on)
    names = copy_rows(old, new)
    freeze(new, from_data(Offer, rename_keys(as_data(_in_order(offer, old)), names)))
    new.save()
    _replace(old, new, names)
    return new


def _in_order(offer: Offer, old: Quote) -> Offer:
    """Put the rows of switched options where they stand in the quote: a build is made by it."""
    keys = [f"stage:{row.pk}" for row in old.stages.all()]
    keys += [f"material:{row.pk}" for row in old.materials.all()]
    return replace(
        offer,
        stages=tuple(sorted(offer.stages, key=lambda row: keys.index(row.key))),
        materials=tuple(sorted(offer.materials, key=lambda row: keys.index(row.key))),
    )


def _next_version(old: Quote, options: list[str], on: date) -> Quote:
    fields = {
        field.name: getattr(old, field.name)
        for field in Quote._meta.concrete_fields
        if field.name not in OF_ITS_OWN
    }
    last = Quote.objects.filter(number=old.number).aggregate(last=Max("version"))["last"]
    fields |= {"version": last + 1, "options": options, "issued_on": on}
    return Quote.objects.create(**fields)


def _replace(old: Quote, new: Quote, names: dict[str, str]) -> None:
    rows = {
        name.replace("material:", "row:"): copy.replace("material:", "row:")
        for name, copy in names.items()
        if name.startswith("material:")
    }
    hand_over_promises(
        holder=old.holder,
        to=new.holder,
        to_name=f"quote {new}",
        lines=rows,
        until=new.held_until,
    )
    old.state, old.held_until = Quote.State.REPLACED, None
    old.save(update_fields=["state", "held_until"])
