"""Quantities as makers type them: `1.05`, `1,05 m`, `12 in`, `2 3/4 in`."""

import re
from decimal import Decimal

from inventory.calc.units import UNITS_BY_KIND, kind_of, round_quantity, to_base
from inventory.refusals import Refusal

LARGEST = Decimal(10) ** 12
"""More base units than any shop holds; the database keeps a thousand times as many."""

_QUANTITY = re.compile(
    r"(?P<whole>\d+(?:[.,]\d+)?)?\s*(?:(?P<top>\d+)/(?P<bottom>\d+))?\s*"
    r"(?P<unit>[a-z\"'][\w²³. ]*)?",
    re.IGNORECASE,
)
_OTHER_WORDS = {'"': "in", "inch": "in", "inches": "in", "'": "ft", "litre": "l", "litres": "l"}


def read_quantity(typed: str, unit: str) -> Decimal:
    """Read a quantity in base units; a bare number counts `unit`s.

    Raises Refusal for what is no number, or names a unit of another kind.
    """
    found = _QUANTITY.fullmatch(typed.strip())
    if found is None or not (found["whole"] or found["top"]):
        raise Refusal(f"“{typed}” is no quantity. Type it such as 1.5 or 1.5 {unit}.")
    amount = to_base(_number(found), _unit_code(found["unit"], unit))
    if amount > LARGEST:
        raise Refusal(f"“{typed}” is more than can be kept. Check the figure and its unit.")
    return round_quantity(amount)


def _number(found: "re.Match[str]") -> Decimal:
    whole, top, bottom = found["whole"], found["top"], found["bottom"]
    number = Decimal((whole or "0").replace(",", "."))
    if top is None:
        return number
    if not int(bottom):
        raise Refusal(f"{top}/{bottom} is no fraction: nothing is divided by 0.")
    return number + Decimal(top) / Decimal(bottom)


def _unit_code(word: str | None, unit: str) -> str:
    if not word:
        return unit
    kind = kind_of(unit)
    wanted = word.strip().rstrip(".").lower()
    wanted = _OTHER_WORDS.get(wanted, wanted)
    for known in UNITS_BY_KIND[kind]:
        if wanted in {known.code.lower(), known.word.lower()}:
            return known.code
    words = ", ".join(known.word for known in UNITS_BY_KIND[kind])
    raise Refusal(f"“{word}” is no unit of {kind}; use one of {words}.")
