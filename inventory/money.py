"""Home money, as the services need it."""

from decimal import Decimal

from inventory.calc.money import minor_unit, round_money
from inventory.calc.units import from_base
from inventory.models import Material, Workshop


def home_currency() -> str:
    """Return the workshop's currency (ISO 4217); the model's default before the first run."""
    code = Workshop.objects.values_list("currency", flat=True).first()
    return code or str(Workshop._meta.get_field("currency").default)


def home_unit() -> Decimal:
    """Return the smallest amount of home money, such as 0.01."""
    return minor_unit(home_currency())


def replacement_cost(material: Material, quantity: Decimal) -> Decimal:
    """Return what `quantity` base units cost at the replacement price; 0 when it isn't known."""
    price = material.replacement_price or Decimal(0)
    return round_money(price * from_base(quantity, material.unit), home_unit())
