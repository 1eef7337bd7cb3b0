"""What an instrument is made of, gathered for its certificate."""

from collections.abc import Iterable

from inventory.base.documents import is_letter_size
from inventory.models import Lot, Piece, Reason, Workshop
from quotes.base.calc.figures import plain
from quotes.models import Change, Quote
from quotes.papers.documents.papers import CertificatePaper, CertificateRow
from quotes.papers.documents.quote import addressee_of, letterhead_of
from shop.models import Build, BuildDraw, SetUpReading

CENTS = ("intonation_treble", "intonation_bass")


def certificate_paper(build: Build) -> CertificatePaper:
    """Gather the certificate of a build, as the books stand now. No cost and no hours in it."""
    workshop = Workshop.objects.get()
    quote = Quote.objects.filter(build=build).select_related("commission__client").first()
    draws = list(_draws(build))
    return CertificatePaper(
        letterhead=letterhead_of(workshop),
        addressee=addressee_of(quote.commission.client, workshop) if quote else None,
        currency=workshop.currency,
        serial=build.serial,
        title=build.title,
        finished_on=build.finished_on,
        specification=build.specification,
        options=tuple(build.options),
        changes=tuple(_changes(quote)) if quote else (),
        pieces=tuple(_pieces(draws)),
        materials=tuple(_materials(draws)),
        readings=tuple(_readings(build)),
        is_letter_size=is_letter_size(workshop.country),
    )


def _draws(build: Build) -> Iterable[BuildDraw]:
    """What was drawn and stayed in the instrument: not what was lost, nor what came back."""
    draws = BuildDraw.objects.filter(
        build=build, entry__reason=Reason.DRAWN, entry__followed_by=None
    )
    return draws.select_related(
        "line", "entry__material__family", "entry__lot__piece", "entry__lot__supplier"
    ).order_by("line__position", "pk")


def _pieces(draws: Iterable[BuildDraw]) -> Iterable[CertificateRow]:
    for draw in draws:
        lot = draw.entry.lot
        if lot is not None and draw.entry.material.is_piece:
            name = draw.line.name if draw.line else draw.entry.material.name
            yield CertificateRow(name=name, about=_about(lot))


def _about(lot: Lot) -> str:
    """Say which piece it is: its material, number, log, grade, felling and supplier."""
    piece: Piece | None = getattr(lot, "piece", None)
    said = [f"{lot.material.name}, {lot.number}"]
    if piece and piece.log:
        said.append(f"log {piece.log}")
    if piece and piece.grade:
        said.append(piece.grade)
    if piece and piece.felled_on:
        said.append(f"felled {piece.felled_on.year}")
    if lot.supplier:
        said.append(f"from {lot.supplier}")
    return ", ".join(said)


def _materials(draws: Iterable[BuildDraw]) -> Iterable[CertificateRow]:
    """Everything else by family, each lot once."""
    families: dict[str, list[str]] = {}
    for draw in draws:
        material, lot = draw.entry.material, draw.entry.lot
        if not material.is_piece:
            words = f"{material.name} ({lot.number})" if lot else material.name
            names = families.setdefault(material.family.name, [])
            if words not in names:
                names.append(words)
    return (CertificateRow(name=name, about=", ".join(of)) for name, of in families.items())


def _changes(quote: Quote) -> Iterable[str]:
    agreed = quote.changes.filter(state=Change.State.AGREED)
    return (change.words or change.title for change in agreed)


def _readings(build: Build) -> Iterable[CertificateRow]:
    """The last reading of each measure."""
    last = {reading.measure: reading for reading in SetUpReading.objects.filter(build=build)}
    for measure, reading in last.items():
        unit = "" if measure in CENTS else " mm"
        day = reading.taken_at
        about = f"{plain(reading.value)}{unit}, {day.day} {day:%B %Y}"
        strings = f", {reading.strings}" if reading.strings else ""
        yield CertificateRow(name=reading.get_measure_display(), about=about + strings)
