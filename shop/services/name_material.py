"""Name the shop's material for a line of a build that had none."""

from django.db import transaction

from inventory.calc.units import base_unit, kind_of
from inventory.models import Material
from inventory.refusals import Refusal
from shop.models import BuildLine


@transaction.atomic
def name_material(*, line: BuildLine, material: Material) -> BuildLine:
    """Give `line` its `material`, so that it can be put aside.

    Raises Refusal when the line counts in another kind of unit than the material is kept in.
    """
    unit = line.template_line.unit if line.template_line else material.unit
    if base_unit(kind_of(unit)) != material.base_unit:
        raise Refusal(
            f"{line} is counted in {unit}, {material} in {material.unit}. Choose a material "
            "that is kept in the same kind of unit.",
            field="material",
        )
    line.material, line.family = material, material.family
    line.save(update_fields=["material", "family"])
    return line
