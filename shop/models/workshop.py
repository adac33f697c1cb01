"""The workshop itself: one row that says who it is and how it prices."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from shop.models.fields import code_field, currency_field, money_field, percent_field


class LineCategory(models.TextChoices):
    """What a line is for the tax office; a deposit is what comes back with the old core."""

    LABOUR = "labour", "labour"
    PARTS = "parts", "parts"
    FEES = "fees", "fees"
    BOUGHT_IN = "bought-in", "bought-in work"
    DEPOSIT = "deposit", "deposits"


class Workshop(models.Model):
    class Paper(models.TextChoices):
        A4 = "A4", "A4"
        LETTER = "Letter", "Letter"

    class MarkupMode(models.TextChoices):
        STEPPED = "stepped", "stepped: the whole cost takes the percentage of its band"
        CONTINUOUS = "continuous", "continuous: each slice of cost takes the percentage of its band"

    class Freight(models.TextChoices):
        PASSED_ON = "passed-on", "passed on: what suppliers ask is a charge on the estimate"
        ABSORBED = "absorbed", "absorbed: the shop pays it"

    class PartsGrade(models.TextChoices):
        ANY = "any", "any part that fits"
        PREFERRED = "preferred", "original where it costs little more"
        ORIGINAL = "original", "original only"

    class SourcingPlan(models.TextChoices):
        CHEAPEST = "cheapest", "cheapest"
        FEWEST = "fewest", "fewest suppliers"
        SOONEST = "soonest", "soonest"

    class Overrun(models.TextChoices):
        NONE = "none", "nothing above the agreed total"
        AMOUNT = "amount", "an amount"
        PERCENT = "percent", "a percentage"
        LOWER = "lower", "the lower of amount and percentage"
        HIGHER = "higher", "the higher of amount and percentage"

    name = models.CharField(max_length=120)
    address = models.TextField(blank=True)
    phone = models.CharField(max_length=60, blank=True)
    email = models.EmailField(blank=True)
    tax_number = models.CharField(max_length=40, blank=True)
    currency = currency_field(default="EUR")
    labour_rate = money_field(help_text="per hour, without tax")
    billing_increment = models.DecimalField(
        max_digits=4, decimal_places=2, default=Decimal("0.10"), help_text="hours; 0.10 is common"
    )
    prices_include_tax = models.BooleanField(
        default=False, help_text="print lines and items with their tax; sums without tax stay printed too"
    )
    markup_mode = models.CharField(max_length=12, choices=MarkupMode, default=MarkupMode.CONTINUOUS)
    supplies_percent = percent_field(default=Decimal(0), help_text="shop supplies, percent of labour")
    supplies_cap = money_field(null=True, blank=True)
    validity_days = models.PositiveSmallIntegerField(default=30, validators=[MinValueValidator(1)])
    paper = models.CharField(max_length=8, choices=Paper, default=Paper.A4)
    terms = models.TextField(blank=True, help_text="printed at the foot of the estimate")
    demonstration = models.BooleanField(default=False, help_text="prints 'not for real work' on everything")

    # Buying
    freight_policy = models.CharField(max_length=12, choices=Freight, default=Freight.ABSORBED)
    parts_grade = models.CharField(max_length=12, choices=PartsGrade, default=PartsGrade.ANY)
    original_premium = percent_field(
        default=Decimal(0), help_text="an original part is taken where it costs at most this percent more"
    )
    preferred_premium = percent_field(
        default=Decimal(0), help_text="a preferred supplier is taken where it costs at most this percent more"
    )
    sourcing_plan = models.CharField(max_length=10, choices=SourcingPlan, default=SourcingPlan.CHEAPEST)
    # Beyond what the customer agreed to
    overrun_rule = models.CharField(max_length=8, choices=Overrun, default=Overrun.NONE)
    overrun_amount = money_field(null=True, blank=True)
    overrun_percent = percent_field(null=True, blank=True)
    overrun_cap = money_field(null=True, blank=True, help_text="never more than this above the agreed total")
    overrun_before_tax = models.BooleanField(default=False, help_text="compare totals without tax")
    # What earlier work says
    history_fewest = models.PositiveSmallIntegerField(
        default=5, validators=[MinValueValidator(2)], help_text="times done before other minutes are proposed"
    )

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="workshop_is_one_row"),
            models.CheckConstraint(
                condition=Q(freight_policy__in=["passed-on", "absorbed"]),
                name="workshop_freight_policy_is_known",
            ),
            models.CheckConstraint(
                condition=Q(parts_grade__in=["any", "preferred", "original"]),
                name="workshop_parts_grade_is_known",
            ),
            models.CheckConstraint(
                condition=Q(sourcing_plan__in=["cheapest", "fewest", "soonest"]),
                name="workshop_sourcing_plan_is_known",
            ),
            models.CheckConstraint(
                condition=Q(original_premium__gte=0, preferred_premium__gte=0),
                name="workshop_premiums_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(overrun_rule="none")
                | Q(overrun_rule="amount", overrun_amount__gte=0)
                | Q(overrun_rule="percent", overrun_percent__gte=0)
                | Q(overrun_rule__in=["lower", "higher"], overrun_amount__gte=0, overrun_percent__gte=0),
                name="workshop_overrun_rule_is_complete",
            ),
            models.CheckConstraint(
                condition=Q(overrun_cap__isnull=True) | Q(overrun_cap__gte=0), name="workshop_overrun_cap"
            ),
            models.CheckConstraint(condition=Q(history_fewest__gte=2), name="workshop_history_fewest"),
            models.CheckConstraint(condition=Q(labour_rate__gte=0), name="workshop_labour_rate_not_negative"),
            models.CheckConstraint(
                condition=Q(billing_increment__gt=0, billing_increment__lte=1),
                name="workshop_billing_increment",
            ),
            models.CheckConstraint(
                condition=Q(supplies_percent__gte=0, supplies_percent__lte=100),
                name="workshop_supplies_percent",
            ),
            models.CheckConstraint(
                condition=Q(supplies_cap__isnull=True) | Q(supplies_cap__gte=0), name="workshop_supplies_cap"
            ),
            models.CheckConstraint(condition=Q(validity_days__gte=1), name="workshop_validity_days"),
        ]

    def __str__(self) -> str:
        return self.name


class TaxRate(models.Model):
    """A rate with its EN 16931 category code (UNCL5305: S standard, Z zero, E exempt ...)."""

    code = code_field(unique=True)
    name = models.CharField(max_length=60)
    percent = percent_field(validators=[MinValueValidator(0), MaxValueValidator(100)])
    category = models.CharField(max_length=3, default="S")

    class Meta:
        ordering = ["code"]
        constraints = [
            models.CheckConstraint(
                condition=Q(percent__gte=0, percent__lte=100), name="tax_rate_percent_between_0_and_100"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.percent.normalize():f} %"

    def natural_key(self) -> tuple[str]:
        return (self.code,)


class LineTax(models.Model):
    """Which rates a line category carries; several rows mean several taxes at once."""

    category = models.CharField(max_length=12, choices=LineCategory)
    rate = models.ForeignKey(TaxRate, on_delete=models.PROTECT, related_name="lines")

    class Meta:
        ordering = ["category", "rate"]
        constraints = [
            models.UniqueConstraint(fields=["category", "rate"], name="line_tax_once_per_rate"),
            models.CheckConstraint(
                condition=Q(category__in=LineCategory.values), name="line_tax_category_is_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_category_display()}: {self.rate}"


class MarkupBand(models.Model):
    """From this cost upwards, this much on top."""

    cost_from = money_field(unique=True)
    percent = percent_field()

    class Meta:
        ordering = ["cost_from"]
        constraints = [
            models.CheckConstraint(condition=Q(cost_from__gte=0), name="markup_cost_not_negative"),
            models.CheckConstraint(condition=Q(percent__gte=0), name="markup_percent_not_negative"),
        ]

    def __str__(self) -> str:
        return f"from {self.cost_from}: {self.percent} %"


class Fee(models.Model):
    """A fixed charge on every estimate in which something is done, like disposal of used oil."""

    code = code_field(unique=True)
    name = models.CharField(max_length=120)
    amount = money_field()
    active = models.BooleanField(default=True)

    class Meta:
        ordering = ["code"]
        constraints = [models.CheckConstraint(condition=Q(amount__gte=0), name="fee_amount_not_negative")]

    def __str__(self) -> str:
        return self.name


class Meter(models.Model):
    """A measuring instrument of the workshop; its stated accuracy is what makes a reading decidable."""

    code = code_field(unique=True)
    name = models.CharField(max_length=120)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.name


class MeterRange(models.Model):
    """Stated accuracy on one unit up to a full scale: percent of reading + counts x resolution."""

    meter = models.ForeignKey(Meter, on_delete=models.CASCADE, related_name="ranges")
    unit = models.CharField(max_length=30, help_text="UCUM code, like Ohm, V or A")
    full_scale = models.DecimalField(max_digits=14, decimal_places=6)
    accuracy_percent = percent_field(default=Decimal(0))
    accuracy_counts = models.PositiveSmallIntegerField(default=0)
    resolution = models.DecimalField(max_digits=14, decimal_places=6)

    class Meta:
        ordering = ["meter", "unit", "full_scale"]
        constraints = [
            models.UniqueConstraint(fields=["meter", "unit", "full_scale"], name="meter_range_once"),
            models.CheckConstraint(
                condition=Q(accuracy_percent__gte=0, resolution__gt=0, full_scale__gte=F("resolution")),
                name="meter_range_is_sane",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.meter} {self.unit} to {self.full_scale}"
