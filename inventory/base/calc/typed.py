"""Quantities as makers type them: `1.05`, `1,05 m`, `12 in`, `2 3/4 in`."""

import re
from decimal import Decimal

from inventory.base.calc.units import UNITS_BY_KIND, kind_of, round_quantity, to_base
from inventory.base.refusals import Refusal

LARGEST = Decimal(10) ** 12
"""More base units than any shop holds; the database keeps a thousand times as many."""

_QUANTITY = re.compile(
    r"(?:(?P<whole>\d+(?:[.,]\d+)?)(?:\s+|(?=\D|$))(?!/))?(?:(?P<top>\d+)/(?P<bottom>\d+))?\s*"
    r"(?P<unit>[a-z\"'][\w²³. ]*)?",
    re.IGNORECASE,
)
_EITHER = re.compile(r"[-+]?[1-9]\d{0,2},\d{3}")
_POINT_LAST = re.compile(r"[-+]?\d{1,3}(?:,\d{3})+\.\d+|[-+]?\d{1,3}(?:,\d{3}){2,}")
_COMMA_LAST = re.compile(r"[-+]?\d{1,3}(?:\.\d{3})+,\d+|[-+]?\d{1,3}(?:\.\d{3}){2,}|[-+]?\d*,\d+")
_OTHER_WORDS = {'"': "in", "inch": "in", "inches": "in", "'": "ft", "litre": "l", "litres": "l"}


def plain_number(typed: str) -> str:
    """Write a number as `Decimal` reads it: `2,5` is 2.5, `1,252.80` and `1.252,80` are 1252.80.

    What is no number is left to whoever reads it. Raises Refusal for `1,250`, which may be either.
    """
    text = typed.strip()
    if _EITHER.fullmatch(text):
        whole, parted = text.replace(",", ""), text.replace(",", ".")
        raise Refusal(f"“{text}” can mean {whole} or {parted}. Write the one you mean.")
    if _POINT_LAST.fullmatch(text):
        return text.replace(",", "")
    if _COMMA_LAST.fullmatch(text):
        return text.replace(".", "").replace(",", ".")
    return text


def read_quantity(typed: str, unit: str) -> Decimal:
    """Read a quantity in base units; a bare number counts `unit`s.

    Raises Refusal for what is no number, or names a unit of another kind.
    """
    found = _QUANTITY.fullmatch(typed.strip())
    if found is None or not (found["whole"] or found["top"]):
        raise Refusal(f"“{typed}” is not a quantity. Write it as 1.5 or 1.5 {unit}.")
    amount = to_base(_number(found), _unit_code(found["unit"], unit))
    if amount > LARGEST:
        raise Refusal(f"“{typed}” is too large. Check the figure and its unit.")
    return round_quantity(amount)


def read_sizes(typed: str, unit: str) -> tuple[Decimal, ...]:
    """Read sizes in base units: `430 × 150 × 17.5`, `17 x 6 x 11/16 in`, or with spaces alone.

    A unit behind the last one holds for all that name none. Raises Refusal for what is no size.
    """
    words = re.split(r"[x×*]", typed.strip(), flags=re.IGNORECASE)
    if len(words) == 1:
        words = typed.replace(";", " ").split() or words
    last = _QUANTITY.fullmatch(words[-1].strip()) if words else None
    named = _unit_code(last["unit"], unit) if last else unit
    return tuple(_above_nothing(word, named) for word in words)


def read_masses(typed: str, unit: str) -> list[Decimal]:
    """Read masses in base units, one after the other: `868 842; 905`. Raises Refusal."""
    return [_above_nothing(word, unit) for word in typed.replace(";", " ").split()]


def _above_nothing(word: str, unit: str) -> Decimal:
    number = read_quantity(word.strip().rstrip(","), unit)
    if number <= 0:
        raise Refusal(f"“{word.strip()}” must be above 0.")
    return number


def _number(found: "re.Match[str]") -> Decimal:
    whole, top, bottom = found["whole"], found["top"], found["bottom"]
    number = Decimal((whole or "0").replace(",", "."))
    if top is None:
        return number
    if not int(bottom):
        raise Refusal(f"{top}/{bottom} is not a fraction: you can't divide by 0.")
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
    raise Refusal(f"“{word}” is not a unit of {kind}. Use one of {words}.")
