"""What is asked about the look of papers."""

from django import forms

from quotes.models import PaperLook


class PaperLookForm(forms.ModelForm):
    """Logo, face and colour."""

    logo = forms.FileField(
        required=False,
        widget=forms.FileInput(attrs={"accept": "image/*"}),
        help_text="A picture, printed up to 18 mm high at the head of each paper.",
    )

    class Meta:
        model = PaperLook
        fields = ("face", "accent", "logo")
        widgets = {"accent": forms.TextInput(attrs={"type": "color"}), "face": forms.RadioSelect}
