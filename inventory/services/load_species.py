"""Take in what is known of species from the dated data file."""

from pathlib import Path

from django.db import transaction

from inventory.calc.species import SpeciesFacts, read_species
from inventory.models import Species

FILE = Path(__file__).resolve().parent.parent / "data" / "species.csv"


@transaction.atomic
def load_species(*, text: str | None = None) -> int:
    """Add every species of `text` (the shipped file without it) that is not there by name.

    What a maker has changed stays. Returns how many were added.
    """
    facts = read_species(FILE.read_text(encoding="utf-8") if text is None else text)
    known = set(Species.objects.values_list("name", flat=True))
    new = [one for one in facts if one.trade_name not in known]
    Species.objects.bulk_create(_row(one) for one in new)
    return len(new)


def _row(facts: SpeciesFacts) -> Species:
    return Species(
        name=facts.trade_name,
        botanical_name=facts.botanical_name,
        density=facts.air_dry_density,
        shrinkage_radial=facts.shrinkage.radial,
        shrinkage_tangential=facts.shrinkage.tangential,
        dust=facts.caution,
        listing=facts.listing.words,
        listing_read_on=facts.listing.read_on,
        listed_since=facts.listing.since,
        source=_source(facts),
        is_verified=not facts.unverified,
    )


def _source(facts: SpeciesFacts) -> str:
    lines = [f"Density: {facts.density_status}."] if facts.air_dry_density else []
    if facts.shrinkage.radial:
        lines.append(f"Shrinkage: {facts.shrinkage.source}, {facts.shrinkage.status}.")
    if facts.listing.since:
        lines.append(f"Listed since: {facts.listing.since_status}.")
    lines += [f"Listing: {facts.listing.status}.", f"Dust: {facts.dust_status}."]
    return "\n".join(lines)
