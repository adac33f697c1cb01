"""Operations: repairs with their own time, the access they need, and what may go wrong."""

from decimal import Decimal

from django.db import models
from django.db.models import F, Q

from catalog.models.access import AccessStep
from catalog.models.family_items import Caution, FamilyItem
from catalog.models.test_points import Component


class Operation(FamilyItem):
    """A repair on an engine family: its own time at the first and each further position."""

    repairs = models.ForeignKey(
        Component, null=True, blank=True, on_delete=models.PROTECT, related_name="operations",
        help_text="a finding on this component calls for the operation",
    )  # fmt: skip
    description = models.TextField(blank=True, help_text="what is done, for the customer")
    minutes = models.PositiveSmallIntegerField(help_text="first position, access not counted")
    minutes_further = models.PositiveSmallIntegerField(help_text="each further position")
    rank = models.PositiveSmallIntegerField(
        default=1, help_text="1 is proposed where several repair one component"
    )
    removes_control = models.BooleanField(
        default=False, help_text="removes an emissions or safety control: refused in road use"
    )
    cautions = models.ManyToManyField(Caution, through="OperationCaution", related_name="operations")

    class Meta(FamilyItem.Meta):
        constraints = [
            *FamilyItem.Meta.constraints,
            models.CheckConstraint(
                condition=Q(minutes_further__lte=F("minutes")), name="operation_first_not_shorter"
            ),
            models.UniqueConstraint(
                fields=["repairs", "rank"],
                condition=Q(repairs__isnull=False),
                name="operation_rank_once_per_component",
            ),
        ]


class OperationAccess(models.Model):
    operation = models.ForeignKey(Operation, on_delete=models.CASCADE, related_name="access")
    step = models.ForeignKey(AccessStep, on_delete=models.PROTECT, related_name="operations")

    class Meta:
        ordering = ["operation", "step"]
        constraints = [models.UniqueConstraint(fields=["operation", "step"], name="operation_access_once")]

    def __str__(self) -> str:
        return f"{self.operation}: {self.step}"


class OperationRisk(models.Model):
    """What may go wrong while an operation is done, and what must follow then."""

    operation = models.ForeignKey(Operation, on_delete=models.CASCADE, related_name="risks")
    follow_on = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="follows")
    condition = models.CharField(
        max_length=200, help_text="in words: only if the heater breaks while it is unscrewed"
    )
    likelihood = models.DecimalField(
        max_digits=4,
        decimal_places=3,
        default=Decimal("0.05"),
        help_text="between 0 and 1, for the writer only",
    )

    class Meta:
        ordering = ["operation", "follow_on"]
        constraints = [
            models.UniqueConstraint(fields=["operation", "follow_on"], name="operation_risk_once"),
            models.CheckConstraint(
                condition=Q(likelihood__gt=0, likelihood__lt=1),
                name="operation_risk_likelihood_between_0_and_1",
            ),
            models.CheckConstraint(condition=~Q(operation=F("follow_on")), name="operation_risk_not_itself"),
        ]

    def __str__(self) -> str:
        return self.condition


class OperationCaution(models.Model):
    operation = models.ForeignKey(Operation, on_delete=models.CASCADE)
    caution = models.ForeignKey(Caution, on_delete=models.PROTECT)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["operation", "caution"], name="operation_caution_once")
        ]

    def __str__(self) -> str:
        return f"{self.operation}: {self.caution}"
