"""Take a starter template over: its figures are the maker's own from now on."""

from django.db import transaction

from shop.models import BuildTemplate


@transaction.atomic
def own_template(*, template: BuildTemplate) -> BuildTemplate:
    """Return `template`, no longer marked as seed values. Changes no figure."""
    template.is_starter = False
    template.save(update_fields=["is_starter"])
    return template
