"""The draft: only what a person chose. Everything else on a draft follows from the job."""

from django.db import models

from estimates.models.jobs import Job


class DraftChoice(models.Model):
    """A contingent or optional item of the job's draft that was taken into the price (or left out)."""

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="choices")
    item = models.CharField(max_length=160, help_text="the item's key, stable while the finding stands")
    included = models.BooleanField()

    class Meta:
        ordering = ["job", "item"]
        constraints = [models.UniqueConstraint(fields=["job", "item"], name="draft_choice_once")]

    def __str__(self) -> str:
        return f"{self.item}: {'in' if self.included else 'out'}"
