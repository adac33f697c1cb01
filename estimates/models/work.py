"""After the decision: what was ordered, what came, how long it took, and the statement that closes a job."""

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q

from catalog.models import Part, Supplier
from estimates.models.issued import SHA256, IssuedEstimate
from estimates.models.jobs import Job
from shop.models.fields import ZERO, money_field


class Purchase(models.Model):
    """An order to one supplier for one job."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="purchases")
    number = models.CharField(max_length=24, unique=True)
    supplier = models.ForeignKey(
        Supplier, null=True, blank=True, on_delete=models.PROTECT, related_name="+",
        help_text="empty: from the shop's own stock",
    )  # fmt: skip
    estimate = models.ForeignKey(
        IssuedEstimate, null=True, blank=True, on_delete=models.PROTECT, related_name="purchases"
    )
    ordered_at = models.DateTimeField()
    ordered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    freight = money_field(default=ZERO)

    class Meta:
        ordering = ["job", "number"]

    def __str__(self) -> str:
        return self.number


class PurchaseLine(models.Model):
    purchase = models.ForeignKey(Purchase, on_delete=models.PROTECT, related_name="lines")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="+")
    supplier_number = models.CharField(max_length=60, blank=True)
    quantity = models.PositiveIntegerField(validators=[MinValueValidator(1)])
    unit_cost = money_field()
    deposit = money_field(default=ZERO, help_text="per piece")
    expected_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["purchase", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["purchase", "part"], name="purchase_line_once"),
            models.CheckConstraint(condition=Q(quantity__gte=1), name="purchase_line_quantity_positive"),
            models.CheckConstraint(
                condition=Q(unit_cost__gte=0, deposit__gte=0), name="purchase_line_cost_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} x {self.part}"


class Receipt(models.Model):
    """Pieces of an order that came. Rows are added, never changed; `note` says what was wrong with them."""

    line = models.ForeignKey(PurchaseLine, on_delete=models.PROTECT, related_name="receipts")
    quantity = models.PositiveIntegerField(validators=[MinValueValidator(1)])
    received_at = models.DateTimeField()
    received_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["line", "received_at", "pk"]
        constraints = [models.CheckConstraint(condition=Q(quantity__gte=1), name="receipt_quantity_positive")]

    def __str__(self) -> str:
        return f"{self.quantity} of {self.line}"


class ActualTime(models.Model):
    """Minutes that a task or an access step took, as the technician wrote them down."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="actual_times")
    work = models.CharField(max_length=160, help_text="key of the task or access step, like cover@A")
    code = models.CharField(max_length=80, help_text="of the operation, test or step, for the shop's history")
    estimated = models.PositiveIntegerField(help_text="minutes in the estimate, 0 where it was not in it")
    minutes = models.PositiveIntegerField()
    note = models.CharField(max_length=200, blank=True)
    written_at = models.DateTimeField()
    written_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["job", "work"]
        constraints = [models.UniqueConstraint(fields=["job", "work"], name="actual_time_once")]
        indexes = [models.Index(fields=["code"], name="actual_time_code")]

    def __str__(self) -> str:
        return f"{self.work}: {self.minutes} min"


class ActualPart(models.Model):
    """Pieces really used for an item of the estimate, or beside it."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="actual_parts")
    item = models.CharField(
        max_length=160, blank=True, help_text="the item's key; empty: beside the estimate"
    )
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="+")
    quantity = models.PositiveIntegerField()
    note = models.CharField(max_length=200, blank=True)
    written_at = models.DateTimeField()
    written_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["job", "item", "part"]
        constraints = [models.UniqueConstraint(fields=["job", "item", "part"], name="actual_part_once")]

    def __str__(self) -> str:
        return f"{self.quantity} x {self.part}"


class Closing(models.Model):
    """The statement that closes a job: estimate beside actual, readings before and after. Frozen."""

    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="closing")
    estimate = models.ForeignKey(
        IssuedEstimate, null=True, blank=True, on_delete=models.PROTECT, related_name="closings"
    )
    closed_at = models.DateTimeField()
    closed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    total = money_field(help_text="due for the work, with tax")
    document = models.TextField(help_text="canonical JSON")
    sha256 = models.CharField(max_length=64, validators=[SHA256])
    pdf = models.BinaryField()
    pdf_sha256 = models.CharField(max_length=64, validators=[SHA256])

    class Meta:
        ordering = ["-closed_at", "-pk"]

    def __str__(self) -> str:
        return f"closing of {self.job}"
