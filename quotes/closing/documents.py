"""What an instrument is made of, gathered for its certificate."""

from collections.abc import Iterable
from dataclasses import replace

from django.db.models.fields.files import FieldFile

from inventory.base.documents import is_letter_size, picture_inside
from inventory.models import Lot, Piece, Reason, Workshop
from quotes.base.calc.figures import plain
from quotes.models import Change, Quote
from quotes.papers.documents.papers import CertificatePaper, CertificateRow
from quotes.papers.documents.quote import letterhead_of
from shop.models import Build, BuildDraw, SetUpReading
from shop.patterns.calc import rows_from

CENTS = ("intonation_treble", "intonation_bass")


NOT_OF_THE_INSTRUMENT = {"Case and packing", "Glue and abrasives"}
"""Families, as the starters name them, that a certificate leaves out."""


def certificate_paper(build: Build) -> CertificatePaper:
    """Gather the certificate of a build, as the books stand now.

    No cost, hours, supplier, stock number or tax number is in it.
    """
    workshop = Workshop.objects.get()
    quote = Quote.objects.filter(build=build).select_related("commission__client").first()
    draws = list(_draws(build))
    photo = build.notes.exclude(photo="").order_by("-made_at", "-pk").first()
    return CertificatePaper(
        letterhead=letterhead_of(workshop),
        made_for=quote.commission.client.name if quote else "",
        currency=workshop.currency,
        serial=build.serial,
        title=build.title,
        photo=_photo_inside(photo.photo) if photo else "",
        finished_on=build.finished_on,
        specification=build.specification,
        rows=rows_from(build.specification_rows),
        options=tuple(build.options),
        changes=tuple(_changes(quote)) if quote else (),
        pieces=tuple(_pieces(draws)),
        materials=tuple(_materials(draws)),
        readings=tuple(_readings(build)),
        is_letter_size=is_letter_size(workshop.country),
    )


def _photo_inside(photo: FieldFile) -> str:
    with photo.open() as kept:
        return picture_inside(kept)


def _draws(build: Build) -> Iterable[BuildDraw]:
    """What was drawn and stayed in the instrument: not what was lost, nor what came back."""
    draws = BuildDraw.objects.filter(
        build=build, entry__reason=Reason.DRAWN, entry__followed_by=None
    )
    return draws.select_related(
        "line", "entry__material__family", "entry__lot__piece", "entry__lot__material__species"
    ).order_by("line__position", "pk")


def _pieces(draws: Iterable[BuildDraw]) -> Iterable[CertificateRow]:
    for draw in draws:
        lot = draw.entry.lot
        if lot is not None and draw.entry.material.is_piece:
            name = draw.line.name if draw.line else draw.entry.material.name
            yield replace(_about(lot), name=name)


def _about(lot: Lot) -> CertificateRow:
    """Say what a piece is: its species, or else its material, with grade and felling."""
    piece: Piece | None = getattr(lot, "piece", None)
    species = lot.material.species
    said = [species.name if species else lot.material.name]
    if piece and piece.grade:
        said.append(piece.grade)
    if piece and piece.felled_on:
        said.append(f"felled {piece.felled_on.year}")
    return CertificateRow(
        name="", about=", ".join(said), botanical=species.botanical_name if species else ""
    )


def _materials(draws: Iterable[BuildDraw]) -> Iterable[CertificateRow]:
    """Everything else that is in the instrument by family, each material once."""
    families: dict[str, dict[str, None]] = {}
    for draw in draws:
        material = draw.entry.material
        if not material.is_piece and material.family.name not in NOT_OF_THE_INSTRUMENT:
            families.setdefault(material.family.name, {})[material.name] = None
    return (CertificateRow(name=name, about=", ".join(of)) for name, of in families.items())


def _changes(quote: Quote) -> Iterable[str]:
    agreed = quote.changes.filter(state=Change.State.AGREED)
    return (change.words or change.title for change in agreed if change.words or not change.rows)


def _readings(build: Build) -> Iterable[CertificateRow]:
    """The last reading of each measure."""
    last = {reading.measure: reading for reading in SetUpReading.objects.filter(build=build)}
    for measure, reading in last.items():
        about = plain(reading.value) + (" cents" if measure in CENTS else " mm")
        strings = f", {reading.strings}" if reading.strings else ""
        yield CertificateRow(name=reading.get_measure_display(), about=about + strings)
