"""What is asked when the client said yes: who, and which pieces."""

from typing import Any

from django import forms
from django.utils import timezone

from quotes.models import Quote, QuoteMaterial
from shop.pages.proposals import MOST_SHOWN
from shop.queries.proposals import Candidates, shelf_of


class AcceptForm(forms.Form):
    """Who said yes, and which pieces."""

    by = forms.CharField(label="Accepted by", max_length=120)

    def __init__(self, *args: Any, quote: Quote, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["by"].initial = quote.commission.client.name
        rows = quote.materials.select_related("material", "lot", "template_line")
        of_pieces = [(row, row.material) for row in rows if row.material and row.material.is_piece]
        shelf = shelf_of(
            [material for _, material in of_pieces], on=timezone.localdate(), holder=quote.holder
        )
        for row, material in of_pieces:
            candidates = shelf.candidates(row.template_line, material)
            self.fields[f"piece-{row.pk}"] = _piece_field(row, candidates)


def _piece_field(row: QuoteMaterial, candidates: Candidates) -> forms.TypedChoiceField:
    """Ask for a piece, each with the reason for or against it; without one the best is taken."""
    own = [one for one in candidates.passed_over if not one.is_taken or one.lot == row.lot]
    offered = (*candidates.free[:MOST_SHOWN], *own[:MOST_SHOWN])
    pieces = {str(one.lot.pk): one for one in offered}
    best = f", now {candidates.proposed[0].lot.number}" if candidates.proposed else ""
    return forms.TypedChoiceField(
        label=row.name,
        required=False,
        initial=str(row.lot_id or ""),
        choices=[
            ("", f"the best one that is free{best}"),
            *((key, f"{one.lot.number}: {one.reason}") for key, one in pieces.items()),
        ],
        coerce=lambda key: pieces[key].lot,
        empty_value=None,
    )
