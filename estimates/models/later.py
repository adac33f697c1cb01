"""What was left for later waits on the machine's record, until it is done or given up."""

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q

from catalog.models import Component, Position
from estimates.models.jobs import Job, Unit
from shop.models.fields import money_field


class LaterItem(models.Model):
    """One component at one place that somebody found and the customer left for later.

    `adds` is what the repair would have added on that visit, with tax, where it was worked out.
    """

    class Why(models.TextChoices):
        DECLINED = "declined", "declined"
        ADVISORY = "advisory", "advisory"

    class Settled(models.TextChoices):
        DONE = "done", "done"
        DROPPED = "dropped", "given up"

    unit = models.ForeignKey(Unit, on_delete=models.CASCADE, related_name="later_items")
    component = models.ForeignKey(Component, on_delete=models.PROTECT, related_name="+")
    position = models.ForeignKey(Position, on_delete=models.PROTECT, related_name="+")
    quantity = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1)])
    why = models.CharField(max_length=10, choices=Why)
    reason = models.CharField(max_length=300, help_text="what was seen, in words")
    adds = money_field(null=True, blank=True)
    from_job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="left_for_later")
    noted_at = models.DateTimeField()
    settled = models.CharField(max_length=8, choices=Settled, blank=True)
    settled_by = models.ForeignKey(Job, null=True, blank=True, on_delete=models.PROTECT, related_name="+")
    settled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["unit", "noted_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["unit", "component", "position"],
                condition=Q(settled=""),
                name="later_item_open_once",
            ),
            models.CheckConstraint(
                condition=Q(settled="", settled_at__isnull=True)
                | Q(settled__in=["done", "dropped"], settled_at__isnull=False),
                name="later_item_settled_with_a_time",
            ),
            models.CheckConstraint(condition=Q(quantity__gte=1), name="later_item_quantity_positive"),
            models.CheckConstraint(
                condition=Q(why__in=["declined", "advisory"]), name="later_item_why_is_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.component} at {self.position}"
