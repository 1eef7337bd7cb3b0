"""Home money, as the services need it."""

from decimal import Decimal

from inventory.calc.money import minor_unit
from inventory.models import Workshop


def home_currency() -> str:
    """Return the workshop's currency (ISO 4217); the model's default before the first run."""
    code = Workshop.objects.values_list("currency", flat=True).first()
    return code or str(Workshop._meta.get_field("currency").default)


def home_unit() -> Decimal:
    """Return the smallest amount of home money, such as 0.01."""
    return minor_unit(home_currency())
