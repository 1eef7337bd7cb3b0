"""Forms with many fields, shown in sections of a few each."""

from collections.abc import Iterator
from typing import Any, ClassVar

from django import forms


class SectionedForm(forms.BaseForm):
    """Shows its fields under `sections`: a heading, the names below it, side by side if short.

    A test holds that every field stands in one section; one that a form leaves out is passed over.
    """

    template_name = "inventory/forms/sections.html"
    sections: ClassVar[tuple[tuple[str, bool, tuple[str, ...]], ...]] = ()

    def in_sections(self) -> Iterator[tuple[str, bool, list[Any]]]:
        """Yield each heading, whether its fields stand side by side, and its bound fields."""
        for heading, is_across, names in self.sections:
            yield heading, is_across, [self[name] for name in names if name in self.fields]
