"""What one row of the books is."""

from quotes.models.client import Client, Commission
from quotes.models.closing import CloseOut
from quotes.models.policy import FamilyMarkup, PricingPolicy
from quotes.models.quote import Quote, QuoteExtra, QuoteMaterial, QuoteStage

__all__ = [
    "Client",
    "CloseOut",
    "Commission",
    "FamilyMarkup",
    "PricingPolicy",
    "Quote",
    "QuoteExtra",
    "QuoteMaterial",
    "QuoteStage",
]
