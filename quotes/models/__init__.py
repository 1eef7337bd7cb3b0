"""What one row of the books is."""

from quotes.models.change import Change, ChangeMaterial
from quotes.models.client import Client, Commission
from quotes.models.closing import CloseOut, Expense
from quotes.models.link import ClientLink, ClientMessage, Decision
from quotes.models.mail import SentMail
from quotes.models.money import Invoice, Payment
from quotes.models.paper_look import PaperLook
from quotes.models.policy import ContingencyBy, FamilyMarkup, PricingPolicy
from quotes.models.quote import (
    LineTax,
    Quote,
    QuoteExtra,
    QuoteFailure,
    QuoteMaterial,
    QuoteSpec,
    QuoteStage,
)
from quotes.models.tax import DatedTaxRate
from quotes.models.year import Overhead, YearPlan

__all__ = [
    "Change",
    "ChangeMaterial",
    "Client",
    "ClientLink",
    "ClientMessage",
    "CloseOut",
    "Commission",
    "ContingencyBy",
    "DatedTaxRate",
    "Decision",
    "Expense",
    "FamilyMarkup",
    "Invoice",
    "LineTax",
    "Overhead",
    "PaperLook",
    "Payment",
    "PricingPolicy",
    "Quote",
    "QuoteExtra",
    "QuoteFailure",
    "QuoteMaterial",
    "QuoteSpec",
    "QuoteStage",
    "SentMail",
    "YearPlan",
]
