"""What to ask the accountant about a client of another member state of the European Union.

Says only what doesn't go together; what applies is never decided here.
"""

from dataclasses import dataclass

from inventory.base.calc.official_numbers import is_member_state
from quotes.pricing.calc.tax import TaxCategory


@dataclass(frozen=True, slots=True, kw_only=True)
class Buyer:
    """A client: the country (ISO 3166), or empty, and whether a tax number is in the book."""

    country: str
    has_number: bool


def in_the_same_union(shop: str, other: str) -> bool:
    """Say whether two countries are different member states."""
    return shop != other and is_member_state(shop) and is_member_state(other)


def tax_caution(category: TaxCategory, buyer: Buyer, shop: str) -> str:
    """Return a sentence on what a tax choice leaves open; nothing where all goes together."""
    is_union_supply = category is TaxCategory.INTRA_COMMUNITY
    if not in_the_same_union(shop, buyer.country):
        return _GOES_ELSEWHERE if is_union_supply else ""
    if is_union_supply and not buyer.has_number:
        return _NO_NUMBER
    if category is TaxCategory.EXPORT:
        return _IS_NO_EXPORT
    if category in {TaxCategory.STANDARD, TaxCategory.ZERO} and buyer.has_number:
        return _MAY_BE_ONE
    return ""


_GOES_ELSEWHERE = (
    "An intra-community supply goes from one member state to another, but the workshop and the "
    "client are not in two member states. Choose another tax, or ask your accountant."
)
_NO_NUMBER = (
    "An intra-community supply needs both tax numbers, and the client's is missing. "
    "Without it no invoice can be issued."
)
_IS_NO_EXPORT = (
    "The client is in another member state, and export is to countries outside the union. "
    "Ask your accountant which tax applies."
)
_MAY_BE_ONE = (
    "The client has a tax number of another member state. Ask your accountant whether this "
    "is an intra-community supply."
)
