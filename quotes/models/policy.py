"""The shop's pricing policy: one row, copied into every quote that is drafted."""

from decimal import Decimal

from django.db import models

from inventory.fields import MoneyField
from inventory.models import Family


class ContingencyBy(models.TextChoices):
    """What a contingency is worked out from."""

    LABOUR = "labour", "a percentage of labour"
    FAILURES = "failures", "what may go wrong in the stages"


class PricingPolicy(models.Model):
    """How this shop makes a price. There is at most one row."""

    shop_rate = MoneyField(default=Decimal("45.00"), help_text="Per hour.")
    material_markup = models.DecimalField(
        max_digits=5, decimal_places=4, default=Decimal("0.25"), help_text="0.25 is 25 % markup."
    )
    contingency = models.DecimalField(
        max_digits=5, decimal_places=4, default=Decimal("0.10"), help_text="Of labour."
    )
    contingency_by = models.CharField(
        "contingency based on",
        max_length=8,
        choices=ContingencyBy.choices,
        default=ContingencyBy.LABOUR,
    )
    price_step = MoneyField(default=Decimal("10"))
    shipping = MoneyField(default=Decimal(0))
    tax_rate = models.DecimalField(max_digits=5, decimal_places=4, default=Decimal(0))
    prices_with_tax = models.BooleanField(
        "prices are entered with tax",
        default=False,
        help_text="Shipping, extra lines and rounding include tax; it is taken out at its rate.",
    )
    bought_tax_rate = models.DecimalField(
        "tax on purchases",
        max_digits=5,
        decimal_places=4,
        default=Decimal(0),
        help_text="If you are not registered for tax: added to replacement prices entered net.",
    )
    tax_name = models.CharField(max_length=20, default="VAT")
    parts = models.CharField(
        max_length=40, default="30 30 40", help_text="Percentages of the price, adding up to 100."
    )
    fee_percent = models.DecimalField(
        "payment fee",
        max_digits=5,
        decimal_places=4,
        default=Decimal(0),
        help_text="Share of each payment; 0.03 is 3 %.",
    )
    fee_fixed = MoneyField("fixed fee per payment", default=Decimal(0))
    dealer_discount = models.DecimalField(
        max_digits=5, decimal_places=4, default=Decimal(0), help_text="Off the list price."
    )
    valid_days = models.PositiveSmallIntegerField(default=30)
    currency_buffer = models.DecimalField(max_digits=5, decimal_places=4, default=Decimal("0.02"))
    terms = models.TextField(blank=True)
    payment_days = models.PositiveSmallIntegerField(
        "days to pay an invoice", default=14, help_text="0: due at once."
    )
    changes_paid_ahead = models.BooleanField("change orders are paid in advance", default=True)
    account_holder = models.CharField(max_length=70, blank=True)
    iban = models.CharField("account number (IBAN)", max_length=42, blank=True)
    bic = models.CharField("bank code (BIC)", max_length=11, blank=True)

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="one_policy")]
        verbose_name_plural = "pricing policies"

    def __str__(self) -> str:
        return "pricing policy"


class FamilyMarkup(models.Model):
    """A markup of its own for one family of materials."""

    family = models.OneToOneField(Family, on_delete=models.CASCADE)
    markup = models.DecimalField(max_digits=5, decimal_places=4)

    def __str__(self) -> str:
        return f"{self.family}: {self.markup}"
