"""An instrument's fingerboard."""

from decimal import Decimal

from django import forms

from inventory.calc.fretwire import Fingerboard
from inventory.forms.fields import SizeField

LEAST = Decimal("0.001")


class FingerboardForm(forms.Form):
    """Scale, frets, and the widths at both ends; what is cut longer on each side."""

    scale = SizeField(least=LEAST, label="Scale length")
    frets = forms.IntegerField(min_value=1, max_value=60)
    nut_width = SizeField(least=LEAST, label="Width at the nut")
    last_fret_width = SizeField(least=LEAST, label="Width at the last fret")
    overhang = SizeField(label="Overhang, each side", initial=Decimal(3))
    extra = forms.DecimalField(
        min_value=0, max_value=100, initial=12, decimal_places=1, label="Waste on top, percent"
    )

    def board(self) -> Fingerboard:
        """Return the fingerboard that was typed."""
        names = ("scale", "frets", "nut_width", "last_fret_width", "overhang")
        return Fingerboard(**{name: self.cleaned_data[name] for name in names})
