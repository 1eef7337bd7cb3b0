"""Options as a page asks for them: boxes to tick, and choices of which one is taken."""

from django.http import QueryDict


def options_asked(asked: QueryDict, name: str = "option") -> list[str]:
    """Return what is ticked in the field `name`, and taken in the fields `name-…` of choices."""
    fields = [field for field in asked if field == name or field.startswith(f"{name}-")]
    return [option for field in fields for option in asked.getlist(field)]
