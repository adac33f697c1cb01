"""Access steps: teardown and refit that tests and operations share, as a graph without circles."""

from django.db import models
from django.db.models import F, Q

from catalog.models.family_items import Caution, FamilyItem


class AccessStep(FamilyItem):
    """A piece of teardown and refit that operations share. Minutes cover both ways."""

    minutes = models.PositiveSmallIntegerField()
    instruction = models.TextField(blank=True, help_text="taking apart")
    refit = models.TextField(blank=True, help_text="putting back")
    tools = models.CharField(max_length=200, blank=True)
    cautions = models.ManyToManyField(Caution, through="StepCaution", related_name="steps")


class AccessStepRequirement(models.Model):
    """`step` can only be done after `requires`."""

    step = models.ForeignKey(AccessStep, on_delete=models.CASCADE, related_name="requirements")
    requires = models.ForeignKey(AccessStep, on_delete=models.PROTECT, related_name="enables")

    class Meta:
        ordering = ["step", "requires"]
        constraints = [
            models.UniqueConstraint(fields=["step", "requires"], name="access_requirement_once"),
            models.CheckConstraint(condition=~Q(step=F("requires")), name="access_step_not_before_itself"),
        ]

    def __str__(self) -> str:
        return f"{self.step} after {self.requires}"


class StepCaution(models.Model):
    step = models.ForeignKey(AccessStep, on_delete=models.CASCADE)
    caution = models.ForeignKey(Caution, on_delete=models.PROTECT)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["step", "caution"], name="step_caution_once")]

    def __str__(self) -> str:
        return f"{self.step}: {self.caution}"
