"""Selling from the rack, splitting a set, judging a piece."""

from django import forms

from inventory.base.forms import AmountField
from inventory.models import PieceState
from inventory.shelf.forms.moves import MoveForm


class SellForm(MoveForm):
    """What is sold, to whom, and what it fetched."""

    to = forms.CharField(max_length=120, label="Buyer", help_text="Name of the buyer.")
    price = AmountField(label="Price, net of tax", help_text="For the whole quantity.")


class SplitForm(forms.Form):
    """Why a set is split, if there is something to say."""

    why = forms.CharField(label="Reason", max_length=300, required=False)


class JudgeForm(forms.Form):
    """What a piece is no longer fit for, and why."""

    verdict = forms.ChoiceField(
        label="Verdict",
        choices=[
            (PieceState.DOWNGRADED.value, "downgraded: good enough for something simpler"),
            (PieceState.REJECTED.value, "rejected: not usable"),
        ],
        widget=forms.RadioSelect,
        initial=PieceState.DOWNGRADED.value,
    )
    why = forms.CharField(
        label="Reason", max_length=300, help_text="Such as: run-out, pitch pocket, worm."
    )
