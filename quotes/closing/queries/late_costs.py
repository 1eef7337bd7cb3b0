"""What became known, since a build was closed out, of lines that had no cost then."""

from decimal import Decimal

from quotes.base.calc.checks import HUNDRED
from quotes.base.calc.snapshot import from_data
from quotes.closing.calc.late_costs import with_late_costs
from quotes.closing.calc.material_outcome import MaterialOutcome
from quotes.closing.calc.sheet import CloseOutSheet
from quotes.closing.queries.materials import BuildMaterials, material_outcomes, materials_of
from quotes.models import CloseOut, Quote
from quotes.pricing.queries.offer import offer_of

NOTHING = Decimal(0)


def late_lines(kept: CloseOut) -> tuple[str, ...]:
    """Return the lines without a cost in the close-out that were drawn or priced since."""
    sheet = from_data(CloseOutSheet, kept.figures)
    if not sheet.lines_without_cost:
        return ()
    known = _known_now(kept, sheet, materials_of(kept.build), _quote_of(kept))
    return tuple(line.name for line in known.values())


def corrected_sheet(kept: CloseOut) -> CloseOutSheet | None:
    """Return the close-out with the costs that its lines without one have now; None without any."""
    sheet = from_data(CloseOutSheet, kept.figures)
    if not sheet.lines_without_cost:
        return None
    materials, quote = materials_of(kept.build), _quote_of(kept)
    known = _known_now(kept, sheet, materials, quote)
    if not known:
        return None
    lines = [materials.needs[place].line.pk for place in known]
    tax = quote.bought_tax_rate * HUNDRED if quote else NOTHING
    drawn = (row for pk in lines for row in materials.of_line(pk) if not row.is_scrap)
    return with_late_costs(
        sheet,
        known,
        by_hand=sum((materials.paid.get(pk, NOTHING) for pk in lines), NOTHING),
        wood_gain=sum((row.at_replacement(tax) - row.cost for row in drawn), NOTHING),
    )


def _quote_of(kept: CloseOut) -> Quote | None:
    return Quote.objects.filter(build=kept.build).first()


def _known_now(
    kept: CloseOut, sheet: CloseOutSheet, materials: BuildMaterials, quote: Quote | None
) -> dict[int, MaterialOutcome]:
    """Return what is known now of the kept lines without a cost, by their places."""
    live = material_outcomes(materials, offer_of(quote, on=kept.closed_on) if quote else None)
    # Lines of a build are kept in its order; what was drawn beside them stands behind.
    listed = live[: len(materials.needs)]
    return {
        place: now
        for place, (then, now) in enumerate(zip(sheet.materials, listed, strict=False))
        if not then.is_known and now.is_known and now.name == then.name
    }
