"""Take back the materials that were just made from a template."""

from collections.abc import Collection

from django.db import transaction
from django.db.models import ProtectedError

from inventory.models import Material
from inventory.refusals import Refusal
from shop.models import BuildTemplate
from shop.queries.stocking import made_from


@transaction.atomic
def unmake_materials(
    *, template: BuildTemplate, lines: Collection[int], made: Collection[int]
) -> None:
    """Let the `lines` of `template` name no material again, and remove the materials `made`.

    Both are keys, as `make_materials` gave them. Raises Refusal, and changes nothing, once one of
    the materials is in use elsewhere.
    """
    linked = template.lines.filter(pk__in=lines).exclude(material=None)
    linked.update(material=None)
    own = Material.objects.filter(pk__in=made, note__startswith=made_from(template))
    for material in own.order_by("name"):
        try:
            material.delete()
        except ProtectedError:
            raise Refusal(
                f"{material} is in use already. Change the lines one by one instead."
            ) from None
