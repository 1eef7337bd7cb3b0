"""Quotes: priced, dated, versioned offers, frozen once they are sent."""

from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import models

from inventory.fields import MoneyField, QuantityField
from inventory.models import Family, Lot, Material
from quotes.models.client import Commission
from quotes.models.policy import ContingencyBy
from shop.models import Build, BuildTemplate, TemplateLine, TemplateStage, WasteRule


class Offers(models.Manager["Quote"]):
    """Quotes that stand by themselves: without the further instruments of an order."""

    def get_queryset(self) -> models.QuerySet["Quote"]:
        return super().get_queryset().filter(part_of=None)


class Quote(models.Model):
    """One version of an offer.

    A draft is priced anew from its rows whenever it is read. `issue_quote` writes `frozen`
    (every figure as it was), the document and its hash; from then on the rows don't change.

    A further instrument of the same order is a quote of its own that is `part_of` the first one:
    with its own template, options, rows and build, but sent, decided, invoiced and paid with it.
    """

    class State(models.TextChoices):
        DRAFT = "draft", "draft"
        ISSUED = "issued", "sent"
        ACCEPTED = "accepted", "accepted"
        DECLINED = "declined", "declined"
        LAPSED = "lapsed", "expired"
        REPLACED = "replaced", "replaced"
        CANCELLED = "cancelled", "cancelled"

    class TaxKind(models.TextChoices):
        """Category codes of EN 16931 (UNCL 5305)."""

        STANDARD = "S", "home, at the standard rate"
        ZERO = "Z", "zero-rated"
        EXPORT = "G", "export, not taxed here"
        INTRA_COMMUNITY = "K", "intra-community supply, to a business in another member state"
        REVERSE = "AE", "reverse charge"
        EXEMPT = "E", "exempt"
        OUTSIDE = "O", "not registered"

    commission = models.ForeignKey(Commission, on_delete=models.CASCADE, related_name="quotes")
    template = models.ForeignKey(
        BuildTemplate, null=True, blank=True, on_delete=models.PROTECT, related_name="quotes"
    )
    part_of = models.ForeignKey(
        "self",
        null=True,
        blank=True,
        on_delete=models.CASCADE,
        related_name="further",
        help_text="The first instrument of the order that this one belongs to.",
    )
    place = models.PositiveSmallIntegerField(
        default=0, help_text="Among the further instruments of its order."
    )
    batch_saving = models.DecimalField(
        "hours saved beside the first instrument",
        max_digits=5,
        decimal_places=4,
        default=Decimal(0),
        help_text="Share of its hours that making it beside the first one saves.",
    )
    number = models.CharField(max_length=20, blank=True, help_text="Given when issued.")
    version = models.PositiveSmallIntegerField(default=1)
    state = models.CharField(max_length=9, choices=State.choices, default=State.DRAFT)
    title = models.CharField(max_length=160)
    specification = models.TextField(blank=True)
    options = models.JSONField(default=list, blank=True, help_text="Names of the options chosen.")
    one_of = models.JSONField(
        default=dict, blank=True, help_text="Option → the group of which exactly one is chosen."
    )
    offered = models.JSONField(
        default=list, blank=True, help_text="Names of the options that the client can choose."
    )
    shop_rate = MoneyField()
    material_markup = models.DecimalField(max_digits=5, decimal_places=4)
    contingency = models.DecimalField(max_digits=5, decimal_places=4)
    contingency_by = models.CharField(
        "contingency based on",
        max_length=8,
        choices=ContingencyBy.choices,
        default=ContingencyBy.LABOUR,
    )
    rush = models.DecimalField(max_digits=5, decimal_places=4, default=Decimal(0))
    fee_percent = models.DecimalField(max_digits=5, decimal_places=4, default=Decimal(0))
    fee_fixed = MoneyField(default=Decimal(0))
    dealer_discount = models.DecimalField(max_digits=5, decimal_places=4, default=Decimal(0))
    price_step = MoneyField()
    shipping = MoneyField(default=Decimal(0))
    prices_with_tax = models.BooleanField(
        "prices entered with tax",
        default=False,
        help_text="Shipping, extra lines and rounding include tax; it is taken out at its rate.",
    )
    bought_tax_rate = models.DecimalField(
        "tax on purchases",
        max_digits=5,
        decimal_places=4,
        default=Decimal(0),
        help_text="Added to replacement prices entered net, if you cannot reclaim it.",
    )
    tax_kind = models.CharField(max_length=2, choices=TaxKind.choices, default=TaxKind.OUTSIDE)
    tax_rate = models.DecimalField(max_digits=5, decimal_places=4, default=Decimal(0))
    shipping_tax_rate = models.DecimalField(
        max_digits=5, decimal_places=4, null=True, blank=True, help_text="Empty: as the instrument."
    )
    currency = models.CharField(max_length=3)
    exchange_rate = models.DecimalField(
        max_digits=14,
        decimal_places=6,
        default=Decimal(1),
        help_text="Units of the client's currency for one unit of the workshop's.",
    )
    exchange_rate_on = models.DateField(null=True, blank=True)
    currency_buffer = models.DecimalField(max_digits=5, decimal_places=4, default=Decimal(0))
    client_step = MoneyField(
        default=Decimal(0), help_text="Rounding step in the client's currency."
    )
    parts = models.CharField(max_length=40, default="30 30 40")
    is_time_and_materials = models.BooleanField(
        "charge by time and materials",
        default=False,
        help_text="The price is an estimate; the invoice goes by hours worked and what was used.",
    )
    valid_days = models.PositiveSmallIntegerField(default=30)
    terms = models.TextField(blank=True)
    drafted_on = models.DateField()
    issued_on = models.DateField(null=True, blank=True)
    valid_until = models.DateField(null=True, blank=True)
    ready_on = models.DateField(null=True, blank=True, help_text="Empty: as the queue forecasts.")
    held_until = models.DateField(
        null=True, blank=True, help_text="Last day that stock is reserved."
    )
    decided_at = models.DateTimeField(null=True, blank=True)
    decided_by = models.CharField(max_length=120, blank=True)
    decline_reason = models.CharField(max_length=300, blank=True)
    frozen = models.JSONField(null=True, blank=True, editable=False)
    gross = MoneyField(
        null=True, blank=True, editable=False, help_text="What the client pays, in their currency."
    )
    document = models.FileField(upload_to="quotes/", blank=True, editable=False)
    document_sha256 = models.CharField(max_length=64, blank=True, editable=False)
    build = models.OneToOneField(
        Build, null=True, blank=True, on_delete=models.PROTECT, related_name="quote"
    )

    objects = models.Manager()
    offers = Offers()

    class Meta:
        ordering = ["-drafted_on", "-pk"]
        indexes = [
            models.Index(fields=["-drafted_on", "-id"], name="quotes_by_day"),
            models.Index(fields=["number"], name="quotes_by_number"),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["number", "version"],
                condition=~models.Q(number="") & models.Q(part_of=None),
                name="quote_number_and_version_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number or 'draft'} {self.title}"

    @property
    def holder(self) -> str:
        """The key under which stock knows a quote on hold."""
        return f"quote:{self.pk}"

    @property
    def is_draft(self) -> bool:
        return self.state == self.State.DRAFT

    @property
    def instruments(self) -> list["Quote"]:
        """The quote and its further instruments, in the order of the paper."""
        return [self, *sorted(self.further.all(), key=lambda one: (one.place, one.pk))]


class LineTax(models.TextChoices):
    """How a row of a quote is taxed: with the instrument, or beside it (EN 16931 categories)."""

    WITH_IT = "", "with the instrument, in its price"
    STANDARD = "S", "beside the instrument, at its own rate"
    ZERO = "Z", "beside the instrument, zero-rated"
    EXEMPT = "E", "beside the instrument, exempt"


class QuoteStage(models.Model):
    """Hours quoted for one stage."""

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="stages")
    template_stage = models.ForeignKey(
        TemplateStage, null=True, blank=True, on_delete=models.SET_NULL
    )
    position = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=120)
    hours = models.DecimalField(max_digits=6, decimal_places=2)
    hours_low = models.DecimalField(max_digits=6, decimal_places=2, default=Decimal(0))
    hours_high = models.DecimalField(max_digits=6, decimal_places=2, default=Decimal(0))
    waiting_days = models.DecimalField(max_digits=5, decimal_places=1, default=Decimal(0))
    basis = models.CharField(max_length=40, default="template, likely")
    option = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name


class QuoteMaterial(models.Model):
    """A material of a quote, with the waste rule it was copied with.

    Its price is the material's replacement price, unless `cost_override` says otherwise;
    `seed_cost` serves while no material of the shop is named.
    """

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="materials")
    template_line = models.ForeignKey(
        TemplateLine, null=True, blank=True, on_delete=models.SET_NULL
    )
    position = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=120)
    family = models.ForeignKey(Family, null=True, blank=True, on_delete=models.PROTECT)
    material = models.ForeignKey(Material, null=True, blank=True, on_delete=models.PROTECT)
    lot = models.ForeignKey(
        Lot, null=True, blank=True, on_delete=models.PROTECT, help_text="The piece chosen."
    )
    quantity = models.DecimalField(max_digits=12, decimal_places=3)
    unit = models.CharField(max_length=4)
    seed_cost = MoneyField(default=Decimal(0))
    cost_override = MoneyField(null=True, blank=True)
    markup = models.DecimalField(
        max_digits=5, decimal_places=4, null=True, blank=True, help_text="Empty: the quote's own."
    )
    tax_kind = models.CharField(
        "tax", max_length=1, choices=LineTax.choices, default=LineTax.WITH_IT, blank=True
    )
    tax_rate = models.DecimalField(max_digits=5, decimal_places=4, null=True, blank=True)
    waste_rule = models.CharField(max_length=7, choices=WasteRule.choices, default=WasteRule.NONE)
    waste_rate = models.DecimalField(max_digits=4, decimal_places=3, default=Decimal(0))
    spares = models.DecimalField(max_digits=8, decimal_places=3, default=Decimal(0))
    cut_length_mm = QuantityField(null=True, blank=True)
    stock_length_mm = QuantityField(null=True, blank=True)
    kerf_mm = QuantityField(default=Decimal(0))
    least_remnant_mm = QuantityField(default=Decimal(0))
    option = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name

    @property
    def hold_key(self) -> str:
        """The key under which a hold on stock knows this row."""
        return f"row:{self.pk}"


class QuoteSpec(models.Model):
    """A row of a quote's specification; as `TemplateSpec`, copied in.

    The piece chosen for `material` fills it.
    """

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="specs")
    position = models.PositiveSmallIntegerField()
    name = models.CharField(max_length=80)
    value = models.CharField(max_length=160, blank=True)
    unit = models.CharField(max_length=12, blank=True)
    choices = models.CharField(max_length=300, blank=True)
    is_asked = models.BooleanField("asked for", default=True)
    material = models.ForeignKey(
        QuoteMaterial, null=True, blank=True, on_delete=models.SET_NULL, related_name="specs"
    )
    option = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name


class QuoteExtra(models.Model):
    """A line of the maker's own: outside work, a case, a part bought for this order."""

    class Kind(models.TextChoices):
        OUTSIDE = "outside", "outside work"
        PACKING = "packing", "case and packing"
        OWN = "own", "extra line"
        ALLOWANCE = "allowance", "allowance"
        CENTS = "cents", "last cents"

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="extras")
    kind = models.CharField(max_length=9, choices=Kind.choices, default=Kind.OWN)
    name = models.CharField(max_length=120)
    cost = MoneyField()
    markup = models.DecimalField(max_digits=5, decimal_places=4, default=Decimal(0))
    tax_kind = models.CharField(
        "tax", max_length=1, choices=LineTax.choices, default=LineTax.WITH_IT, blank=True
    )
    tax_rate = models.DecimalField(max_digits=5, decimal_places=4, null=True, blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.name


class QuoteFailure(models.Model):
    """Something that may go wrong in a stage of a quote; as `TemplateFailure`, copied in."""

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="failures")
    stage = models.ForeignKey(QuoteStage, on_delete=models.CASCADE, related_name="failures")
    name = models.CharField(max_length=120)
    one_in = models.PositiveSmallIntegerField(validators=[MinValueValidator(2)])
    hours = models.DecimalField(
        max_digits=6, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    redo_from = models.ForeignKey(
        QuoteStage, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )
    lost = models.ManyToManyField(QuoteMaterial, blank=True, related_name="+")

    class Meta:
        ordering = ["stage__position", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(one_in__gte=2), name="quote_failure_one_in_two_at_most"
            ),
        ]

    def __str__(self) -> str:
        return self.name
