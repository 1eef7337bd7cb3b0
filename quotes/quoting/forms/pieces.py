"""What is asked where pieces are taken for a quote: which ones, and who said yes or until when."""

from typing import Any

from django import forms
from django.utils import timezone

from inventory.models import Lot
from quotes.base.fields import day_field
from quotes.models import Quote, QuoteMaterial
from quotes.quoting.queries.pieces import Chosen, held_for, pieces_for
from shop.pieces.pages import MOST_SHOWN
from shop.pieces.queries import Candidate, Candidates, StandIns, shelf_of, stand_ins_of

PREFIX = "piece-"


class PiecesForm(forms.Form):
    """Which pieces: one field for each row whose material is kept by the piece."""

    def __init__(self, *args: Any, quote: Quote, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        rows = quote.materials.select_related("material", "lot__material", "template_line")
        of_pieces = [(row, row.material) for row in rows if row.material and row.material.is_piece]
        on, held = timezone.localdate(), held_for(quote, only_kept=True)
        shelf = shelf_of([material for _, material in of_pieces], on=on, holder=quote.holder)
        asked = [(row.template_line, material) for row, material in of_pieces]
        others = stand_ins_of(asked, on=on, holder=quote.holder)
        for (row, material), stand_ins in zip(of_pieces, others, strict=True):
            own = pieces_for(quote, row, held=held, chosen={})
            candidates = shelf.candidates(row.template_line, material)
            field = _piece_field(row, candidates, stand_ins, own[0] if own else None)
            self.fields[f"{PREFIX}{row.pk}"] = field

    @property
    def chosen(self) -> Chosen:
        """The pieces by the key of their row."""
        return {
            int(name.removeprefix(PREFIX)): lot
            for name, lot in self.cleaned_data.items()
            if name.startswith(PREFIX)
        }


class AcceptForm(PiecesForm):
    """Who said yes, and which pieces."""

    by = forms.CharField(label="Accepted by", max_length=120)

    def __init__(self, *args: Any, quote: Quote, **kwargs: Any) -> None:
        super().__init__(*args, quote=quote, **kwargs)
        self.fields["by"].initial = quote.commission.client.name


class HoldForm(PiecesForm):
    """Until when stock is held, and which pieces."""

    until = day_field(label="Reserve until", help_text="Inclusive.")


def _piece_field(
    row: QuoteMaterial, candidates: Candidates, others: StandIns, own: Lot | None
) -> forms.TypedChoiceField:
    """Ask for a piece, each with the reason for or against it; without one the best is taken."""
    passed_over = [one for one in candidates.passed_over if not one.is_taken or one.lot == own]
    like_wood = [(_name_with_material(one), one) for one in others.like_wood[:MOST_SHOWN]]
    offered = [
        *((one.lot.number, one) for one in candidates.free[:MOST_SHOWN]),
        *((one.lot.number, one) for one in passed_over[:MOST_SHOWN]),
        *like_wood,
    ]
    pieces = {str(one.lot.pk): one.lot for _, one in offered}
    choices = [(str(one.lot.pk), f"{name}: {one.reason}") for name, one in offered]
    if own and str(own.pk) not in pieces:
        pieces[str(own.pk)] = own
        choices.append((str(own.pk), f"{own.number}, {own.material}: chosen for this quote"))
    best = f", now {candidates.proposed[0].lot.number}" if candidates.proposed else ""
    return forms.TypedChoiceField(
        label=row.name,
        required=False,
        initial=str(own.pk) if own else "",
        choices=[("", f"the best one available{best}"), *choices],
        coerce=pieces.__getitem__,
        empty_value=None,
    )


def _name_with_material(candidate: Candidate) -> str:
    return f"{candidate.lot.number}, {candidate.lot.material}"
