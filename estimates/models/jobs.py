"""Customers, their units, and what was found on one visit."""

from decimal import Decimal

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q

from catalog.models import Component, EngineFamily, EngineOption, Position, TestPoint
from shop.models import Meter
from shop.models.fields import percent_field, quantity_field


class Customer(models.Model):
    number = models.CharField(max_length=20, unique=True)
    name = models.CharField(max_length=120)
    address = models.TextField(blank=True)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=60, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Unit(models.Model):
    """The customer's machine, known imperfectly: an unknown fact is empty, never guessed."""

    class RoadUse(models.TextChoices):
        YES = "yes", "in road use"
        NO = "no", "not in road use"
        UNKNOWN = "unknown", "not known"

    number = models.CharField(max_length=20, unique=True)
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="units")
    name = models.CharField(max_length=120, help_text="what the customer calls it")
    family = models.ForeignKey(EngineFamily, on_delete=models.PROTECT, related_name="units")
    registration = models.CharField(max_length=40, blank=True, help_text="plate, hull or fleet number")
    vin = models.CharField(max_length=17, blank=True)
    serial = models.CharField(max_length=40, blank=True, help_text="engine serial number, empty if unknown")
    built_from = models.DateField(null=True, blank=True, help_text="earliest possible day of building")
    built_until = models.DateField(null=True, blank=True, help_text="latest possible day of building")
    road_use = models.CharField(max_length=8, choices=RoadUse, default=RoadUse.UNKNOWN)
    notes = models.TextField(blank=True)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.CheckConstraint(
                condition=Q(built_from__isnull=True)
                | Q(built_until__isnull=True)
                | Q(built_from__lte=F("built_until")),
                name="unit_built_from_before_until",
            ),
            models.CheckConstraint(
                condition=Q(road_use__in=["yes", "no", "unknown"]), name="unit_road_use_is_known"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class UnitOption(models.Model):
    """A known option of the unit; no row means unknown."""

    unit = models.ForeignKey(Unit, on_delete=models.CASCADE, related_name="options")
    option = models.ForeignKey(EngineOption, on_delete=models.PROTECT, related_name="+")
    value = models.CharField(max_length=60)

    class Meta:
        ordering = ["unit", "option"]
        constraints = [models.UniqueConstraint(fields=["unit", "option"], name="unit_option_once")]

    def __str__(self) -> str:
        return f"{self.option.name} = {self.value}"


class Job(models.Model):
    """One visit of a unit."""

    number = models.CharField(max_length=20, unique=True)
    unit = models.ForeignKey(Unit, on_delete=models.PROTECT, related_name="jobs")
    complaint = models.TextField()
    opened_on = models.DateField()
    writer = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="jobs"
    )
    needed_by = models.DateField(null=True, blank=True, help_text="parts have to be there by this day")
    sourcing_plan = models.CharField(
        max_length=10,
        blank=True,
        choices=[("cheapest", "cheapest"), ("fewest", "fewest suppliers"), ("soonest", "soonest")],
        help_text="empty: the workshop's",
    )
    version = models.PositiveIntegerField(
        default=1, help_text="counts every change, so that two people notice"
    )

    class Meta:
        ordering = ["-opened_on", "-pk"]
        indexes = [models.Index(fields=["-opened_on", "-id"], name="job_newest_first")]
        constraints = [
            models.CheckConstraint(
                condition=Q(sourcing_plan__in=["", "cheapest", "fewest", "soonest"]),
                name="job_sourcing_plan_is_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.unit}"


class Phase(models.TextChoices):
    BEFORE = "before", "before the repair"
    AFTER = "after", "after the repair"


class Reading(models.Model):
    """One measured value, with a copy of the meter's accuracy: a later change of meter re-judges nothing."""

    class Kind(models.TextChoices):
        NUMBER = "number", "a number"
        OPEN = "open", "open circuit"
        ON = "on", "lamp on"
        OFF = "off", "lamp off"

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="readings")
    test_point = models.ForeignKey(TestPoint, on_delete=models.PROTECT, related_name="readings")
    position = models.ForeignKey(Position, on_delete=models.PROTECT, related_name="readings")
    phase = models.CharField(max_length=8, choices=Phase, default=Phase.BEFORE)
    kind = models.CharField(max_length=8, choices=Kind)
    value = quantity_field(null=True, blank=True, help_text="in the test point's unit")
    places = models.PositiveSmallIntegerField(default=0, help_text="decimal places as read")
    temperature = models.DecimalField(max_digits=6, decimal_places=1, null=True, blank=True, help_text="degC")
    meter = models.ForeignKey(Meter, null=True, blank=True, on_delete=models.PROTECT, related_name="readings")
    zero = quantity_field(default=Decimal(0), help_text="what the meter shows with its leads together")
    accuracy_percent = percent_field(default=Decimal(0), validators=[MinValueValidator(0)])
    accuracy_counts = models.PositiveSmallIntegerField(default=0)
    resolution = quantity_field(default=Decimal(0), validators=[MinValueValidator(0)])
    taken_at = models.DateTimeField()
    taken_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["job", "test_point", "position"]
        constraints = [
            models.UniqueConstraint(fields=["job", "test_point", "position", "phase"], name="reading_once"),
            models.CheckConstraint(
                condition=Q(kind="number", value__isnull=False)
                | Q(kind__in=["open", "on", "off"], value__isnull=True),
                name="reading_value_only_with_a_number",
            ),
            models.CheckConstraint(
                condition=Q(accuracy_percent__gte=0, resolution__gte=0), name="reading_accuracy_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.test_point} at {self.position}"


class Finding(models.Model):
    """A person's judgement. Findings computed from readings are never stored: they follow from them."""

    class Standing(models.TextChoices):
        CONFIRMED = "confirmed", "confirmed"
        SUSPECTED = "suspected", "suspected"
        ADVISORY = "advisory", "advisory"

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="findings")
    component = models.ForeignKey(Component, on_delete=models.PROTECT, related_name="findings")
    position = models.ForeignKey(Position, on_delete=models.PROTECT, related_name="findings")
    standing = models.CharField(max_length=10, choices=Standing)
    quantity = models.PositiveSmallIntegerField(
        default=1, validators=[MinValueValidator(1)], help_text="pieces"
    )
    reason = models.CharField(max_length=300, help_text="what was seen, in words")
    found_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    found_at = models.DateTimeField()

    class Meta:
        ordering = ["job", "component", "position"]
        constraints = [
            models.UniqueConstraint(fields=["job", "component", "position"], name="finding_once"),
            models.CheckConstraint(condition=Q(quantity__gte=1), name="finding_quantity_positive"),
            models.CheckConstraint(condition=~Q(reason=""), name="finding_has_a_reason"),
            models.CheckConstraint(
                condition=Q(standing__in=["confirmed", "suspected", "advisory"]),
                name="finding_standing_is_known",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.component} at {self.position}: {self.standing}"
