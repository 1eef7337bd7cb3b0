"""How a page says that something was declined."""

from django.forms import BaseForm

from inventory.refusals import Refusal


def add_refusal(form: BaseForm, refusal: Refusal) -> None:
    """Put the sentence of `refusal` beside its field, or above the form."""
    form.add_error(refusal.field if refusal.field in form.fields else None, refusal.sentence)
