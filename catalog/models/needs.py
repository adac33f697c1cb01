"""What the work uses up, and the values needed at hand: each belongs to one operation or one access step."""

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q

from catalog.models.access import AccessStep
from catalog.models.operations import Operation
from catalog.models.parts import PartType
from catalog.models.specs import Property


class PartNeed(models.Model):
    """What an operation or an access step uses: exactly one of the two is set."""

    class Necessity(models.TextChoices):
        REQUIRED = "required", "required"
        ONE_TIME = "one-time", "one-time: never reused"
        IF_DAMAGED = "if-damaged", "if damaged"
        CONSUMABLE = "consumable", "consumable"

    class Per(models.TextChoices):
        POSITION = "position", "position"
        BANK = "bank", "bank"
        JOB = "job", "job"

    operation = models.ForeignKey(
        Operation, null=True, blank=True, on_delete=models.CASCADE, related_name="needs"
    )
    step = models.ForeignKey(
        AccessStep, null=True, blank=True, on_delete=models.CASCADE, related_name="needs"
    )
    part_type = models.ForeignKey(PartType, on_delete=models.PROTECT, related_name="needs")
    quantity = models.PositiveSmallIntegerField(validators=[MinValueValidator(1)])
    per = models.CharField(max_length=10, choices=Per, default=Per.POSITION)
    necessity = models.CharField(max_length=12, choices=Necessity)

    class Meta:
        ordering = ["operation", "step", "part_type"]
        constraints = [
            models.CheckConstraint(
                condition=Q(operation__isnull=False, step__isnull=True)
                | Q(operation__isnull=True, step__isnull=False),
                name="part_need_of_an_operation_or_a_step",
            ),
            models.UniqueConstraint(
                fields=["operation", "part_type"],
                condition=Q(step__isnull=True),
                name="part_need_once_per_operation",
            ),
            models.UniqueConstraint(
                fields=["step", "part_type"],
                condition=Q(operation__isnull=True),
                name="part_need_once_per_step",
            ),
            models.CheckConstraint(condition=Q(quantity__gte=1), name="part_need_quantity_positive"),
            models.CheckConstraint(
                condition=Q(necessity__in=["required", "one-time", "if-damaged", "consumable"]),
                name="part_need_necessity_is_known",
            ),
            models.CheckConstraint(
                condition=Q(per__in=["position", "bank", "job"]), name="part_need_per_is_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} x {self.part_type} per {self.per}"


class ServiceValue(models.Model):
    """A family spec needed at hand while working, like a tightening torque: one owner each."""

    operation = models.ForeignKey(
        Operation, null=True, blank=True, on_delete=models.CASCADE, related_name="values"
    )
    step = models.ForeignKey(
        AccessStep, null=True, blank=True, on_delete=models.CASCADE, related_name="values"
    )
    part_type = models.ForeignKey(PartType, on_delete=models.PROTECT, related_name="+")
    property = models.ForeignKey(Property, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["operation", "step", "part_type", "property"]
        constraints = [
            models.CheckConstraint(
                condition=Q(operation__isnull=False, step__isnull=True)
                | Q(operation__isnull=True, step__isnull=False),
                name="service_value_of_an_operation_or_a_step",
            ),
            models.UniqueConstraint(
                fields=["operation", "part_type", "property"],
                condition=Q(step__isnull=True),
                name="service_value_once_per_operation",
            ),
            models.UniqueConstraint(
                fields=["step", "part_type", "property"],
                condition=Q(operation__isnull=True),
                name="service_value_once_per_step",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.property} of {self.part_type}"
