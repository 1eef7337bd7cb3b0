"""What the frameworks say of wrong input is said in the shop's own words, wherever it is read."""

import io

import pytest
from babel.messages.mofile import read_mo
from babel.messages.pofile import read_po
from django import forms
from django.conf import settings
from django.urls import get_resolver
from rest_framework import exceptions, serializers

from tests.sweeps.wording import FRAMEWORK

CATALOGUE = settings.LOCALE_PATHS[0] / "en_GB" / "LC_MESSAGES" / "django.po"
OURS = ("inventory", "shop", "quotes")


def kinds_below(base):
    """Return our own classes below `base`, once every page and end point is loaded."""
    assert get_resolver().url_patterns
    found = set()
    for kind in base.__subclasses__():
        found |= {kind, *kinds_below(kind)}
    return {kind for kind in found if kind.__module__.startswith(OURS)}


def messages_of(fields):
    """Yield what each field may be told, by its own checks and those of its validators."""
    for field in fields:
        yield from field.error_messages.values()
        yield from (getattr(one, "message", "") for one in field.validators)


def borrowed(messages):
    return sorted({str(one) for one in messages if FRAMEWORK.search(str(one))})


def test_the_catalogue_is_compiled_as_it_is_written():
    written = sentences_of(read_po(io.BytesIO(CATALOGUE.read_bytes()), locale="en_GB"))
    compiled = read_mo(io.BytesIO(CATALOGUE.with_suffix(".mo").read_bytes()))
    assert written == sentences_of(compiled)
    assert all(map(all, written.values()))


def sentences_of(catalogue):
    """Return sentences by what they stand for, those with a number in all their forms."""
    return {as_forms(one.id): as_forms(one.string) for one in catalogue if one.id}


def as_forms(words):
    return (words,) if isinstance(words, str) else tuple(words)


def test_no_form_speaks_as_a_framework():
    kinds = [kind for kind in kinds_below(forms.BaseForm) if hasattr(kind, "base_fields")]
    assert len(kinds) > 50
    assert borrowed(m for kind in kinds for m in messages_of(kind.base_fields.values())) == []


def test_no_model_speaks_as_a_framework():
    models = {kind._meta.model for kind in kinds_below(forms.BaseModelForm)}
    fields = [field for model in models for field in model._meta.fields]
    assert borrowed(messages_of(fields)) == []


def test_no_end_point_speaks_as_a_framework():
    kinds = [one for one in kinds_below(serializers.Serializer) if is_whole(one)]
    assert len(kinds) > 100
    shown = [kind() for kind in kinds]
    fields = [field for one in shown for field in [one, *one.fields.values()]]
    assert borrowed(messages_of(fields)) == []


def is_whole(kind):
    """Say whether a serializer is more than a base of others."""
    return not issubclass(kind, serializers.ModelSerializer) or hasattr(kind, "Meta")


@pytest.mark.parametrize("kind", exceptions.APIException.__subclasses__())
def test_no_problem_speaks_as_a_framework(kind):
    assert borrowed([getattr(kind, "default_detail", "")]) == []
