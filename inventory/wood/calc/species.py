"""Facts about species of wood, read from the text of a dated data file.

The file is `inventory/data/species.csv`; each group of figures has its status beside it. Listings
are data with a date, not rules: what they mean for a piece is for the authority to say.
"""

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.wood.calc.wood import FIBRE_SATURATION

_DUST_WORDS = {
    "irritant": "Its dust irritates.",
    "irritant+sensitiser": "Its dust irritates and can make you permanently sensitive to it.",
    "sensitiser": "Its dust can make you permanently sensitive to it.",
    "sensitiser (strong)": "Its dust easily makes you permanently sensitive to it.",
    "none found": "No particular hazard was found. That does not mean there is none.",
}

_ANY_DUST = (
    "All wood dust is a hazard: extract it at the tool and wear a mask. Read the data sheet."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shrinkage:
    """Shrinkage from green to ovendry in percent; empty where nothing reliable was found."""

    radial: Decimal | None
    tangential: Decimal | None
    volumetric: Decimal | None
    source: str
    status: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Listing:
    """The international listing of endangered species as it was read.

    `appendix` is empty where no listing is known. `as_of` is the day since which the lists that
    were read are in force, None when that is not known; `read_on` the day of reading. `since` is
    the day on which the species was first listed, where it is known.
    """

    appendix: str
    annotation: str
    scope: str
    as_of: date | None
    read_on: date
    status: str
    since: date | None = None
    since_status: str = ""

    @property
    def words(self) -> str:
        """The listing in one sentence, with its date and whom to ask."""
        listed = f"Appendix {self.appendix} {self.annotation}".strip() + f": {self.scope}"
        dated = f", lists in force since {_day(self.as_of)}" if self.as_of else ""
        found = listed if self.appendix else self.scope[:1].upper() + self.scope[1:]
        return f"{found}{dated}, read {_day(self.read_on)}. Check with the authority."


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeciesFacts:
    """What is known of one species, each figure with where it comes from.

    `air_dry_density` is kg/m³. `sg_12` is ovendry mass by volume at 12 % of moisture, `basic_sg`
    by green volume: the two are never mixed. `fibre_saturation` is percent of moisture.
    """

    trade_name: str
    botanical_name: str
    air_dry_density: Decimal | None
    density_status: str
    sg_12: Decimal | None
    sg_12_status: str
    basic_sg: Decimal | None
    basic_sg_status: str
    shrinkage: Shrinkage
    fibre_saturation: Decimal
    listing: Listing
    dust: str
    dust_status: str

    @property
    def caution(self) -> str:
        """The caution about its dust, in plain words."""
        return f"{_DUST_WORDS[self.dust]} {_ANY_DUST}"

    @property
    def unverified(self) -> tuple[str, ...]:
        """The groups of figures that stand here from memory."""
        stated = {
            "density": self.density_status,
            "specific gravity": self.sg_12_status,
            "shrinkage": self.shrinkage.status,
            "listing": self.listing.status,
            "listed since": self.listing.since_status,
            "dust": self.dust_status,
        }
        return tuple(group for group, status in stated.items() if "from memory" in status)


@dataclass(frozen=True, slots=True)
class Annotation:
    """What an annotation to a listing covers, in our own words."""

    number: str
    covers: str
    status: str


def read_species(text: str) -> tuple[SpeciesFacts, ...]:
    """Read the text of `species.csv`. Raises ValueError naming the row that can't be read."""
    facts = []
    for row in csv.DictReader(text.splitlines()):
        try:
            facts.append(_facts(row))
        except (ArithmeticError, KeyError, ValueError) as error:
            raise ValueError(f"Species {row.get('botanical_name')}: {error!r}.") from error
    return tuple(facts)


def read_annotations(text: str) -> dict[str, Annotation]:
    """Read the text of `annotations.csv`, by number such as `#15`."""
    rows = csv.DictReader(text.splitlines())
    return {
        row["annotation"]: Annotation(row["annotation"], row["covers"], row["status"])
        for row in rows
    }


def _facts(row: Mapping[str, str]) -> SpeciesFacts:
    if row["dust"] not in _DUST_WORDS:
        raise ValueError(f"{row['dust']} is not a class of dust")
    return SpeciesFacts(
        trade_name=row["trade_name"],
        botanical_name=row["botanical_name"],
        air_dry_density=_number(row["air_dry_density"]),
        density_status=row["density_status"],
        sg_12=_number(row["sg_12"]),
        sg_12_status=row["sg_12_status"],
        basic_sg=_number(row["basic_sg"]),
        basic_sg_status=row["basic_sg_status"],
        shrinkage=_shrinkage(row),
        fibre_saturation=_number(row["fibre_saturation"]) or FIBRE_SATURATION,
        listing=_listing(row),
        dust=row["dust"],
        dust_status=row["dust_status"],
    )


def _shrinkage(row: Mapping[str, str]) -> Shrinkage:
    return Shrinkage(
        radial=_number(row["shrink_radial"]),
        tangential=_number(row["shrink_tangential"]),
        volumetric=_number(row["shrink_volumetric"]),
        source=row["shrink_source"],
        status=row["shrink_status"],
    )


def _listing(row: Mapping[str, str]) -> Listing:
    return Listing(
        appendix=row["appendix"],
        annotation=row["annotation"],
        scope=row["listing_scope"],
        as_of=date.fromisoformat(row["listing_as_of"]) if row["listing_as_of"] else None,
        read_on=date.fromisoformat(row["listing_read_on"]),
        status=row["listing_status"],
        since=date.fromisoformat(row["listed_since"]) if row["listed_since"] else None,
        since_status=row["listed_since_status"],
    )


def _day(on: date) -> str:
    return f"{on.day} {on:%b %Y}"


def _number(text: str) -> Decimal | None:
    return Decimal(text) if text else None
