"""What a person sets on one job beside what follows from its findings: each with its reason."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from catalog.models import AccessStep, Position
from estimates.models.jobs import Job
from shop.models.fields import money_field, percent_field, quantity_field


class JobFactor(models.Model):
    """A piece of teardown that takes longer on this machine: its minutes are multiplied, and the estimate
    says why. Without a position it holds wherever the step is done."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="factors")
    step = models.ForeignKey(AccessStep, on_delete=models.PROTECT, related_name="+")
    position = models.ForeignKey(Position, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    factor = models.DecimalField(
        max_digits=4, decimal_places=2, validators=[MinValueValidator(1), MaxValueValidator(10)]
    )
    reason = models.CharField(max_length=200, help_text="printed, like: bolts corroded")

    class Meta:
        ordering = ["job", "step", "position"]
        constraints = [
            models.UniqueConstraint(fields=["job", "step", "position"], name="job_factor_once"),
            models.UniqueConstraint(
                fields=["job", "step"], condition=Q(position__isnull=True), name="job_factor_everywhere_once"
            ),
            models.CheckConstraint(
                condition=Q(factor__gte=1, factor__lte=10), name="job_factor_between_1_and_10"
            ),
            models.CheckConstraint(condition=~Q(reason=""), name="job_factor_has_a_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.step} x {self.factor}"


class Discount(models.Model):
    """Off one item, or off the whole document where `item` is empty: a percentage or an amount."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="discounts")
    item = models.CharField(max_length=160, blank=True, help_text="the item's key; empty: the document")
    percent = percent_field(null=True, blank=True)
    amount = money_field(null=True, blank=True, help_text="without tax")
    reason = models.CharField(max_length=200, help_text="printed")

    class Meta:
        ordering = ["job", "item"]
        constraints = [
            models.UniqueConstraint(fields=["job", "item"], name="discount_once"),
            models.CheckConstraint(
                condition=Q(percent__gt=0, percent__lte=100, amount__isnull=True)
                | Q(percent__isnull=True, amount__gt=0),
                name="discount_is_percent_or_amount",
            ),
            models.CheckConstraint(condition=~Q(reason=""), name="discount_has_a_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.item or 'document'}: {self.reason}"


class HandLine(models.Model):
    """A line that no service data brings: work bought in, a fee, something of the customer's wish."""

    class Group(models.TextChoices):
        FIRM = "firm", "firm"
        CONTINGENT = "contingent", "only if found on opening"
        OPTIONAL = "optional", "optional"

    class Category(models.TextChoices):
        PARTS = "parts", "parts"
        FEES = "fees", "fees"
        BOUGHT_IN = "bought-in", "bought-in work"

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="hand_lines")
    key = models.CharField(max_length=60, help_text="stable, like hand:1")
    group = models.CharField(max_length=12, choices=Group, default=Group.FIRM)
    category = models.CharField(max_length=12, choices=Category)
    text = models.CharField(max_length=200)
    reason = models.CharField(max_length=200, blank=True, help_text="printed under the text")
    quantity = quantity_field(default=Decimal(1), validators=[MinValueValidator(Decimal("0.000001"))])
    unit_price = money_field(help_text="without tax")
    unit_cost = money_field(null=True, blank=True, help_text="what the shop pays; never printed")

    class Meta:
        ordering = ["job", "key"]
        constraints = [
            models.UniqueConstraint(fields=["job", "key"], name="hand_line_once"),
            models.CheckConstraint(condition=Q(quantity__gt=0), name="hand_line_quantity_positive"),
            models.CheckConstraint(condition=Q(unit_price__gte=0), name="hand_line_price_not_negative"),
            models.CheckConstraint(
                condition=Q(group__in=["firm", "contingent", "optional"]), name="hand_line_group_is_known"
            ),
            models.CheckConstraint(
                condition=Q(category__in=["parts", "fees", "bought-in"]), name="hand_line_category_is_known"
            ),
        ]

    def __str__(self) -> str:
        return self.text


class Payment(models.Model):
    """Money the customer paid in advance. Rows are added, never changed: a refund is a negative one."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="payments")
    amount = money_field(help_text="in the workshop's currency; negative for a refund")
    received_on = models.DateField()
    how = models.CharField(max_length=60, help_text="like cash, card, transfer")
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["job", "received_on", "pk"]
        constraints = [models.CheckConstraint(condition=~Q(amount=0), name="payment_not_zero")]

    def __str__(self) -> str:
        return f"{self.amount} on {self.received_on}"
