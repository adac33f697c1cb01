"""What the customer decided, line by line, bound to the document it was decided on. Rows are only added."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from estimates.models.issued import SHA256, IssuedEstimate
from shop.models.fields import money_field


class CustomerLink(models.Model):
    """A private address of one issued estimate. Only the SHA-256 of its secret is kept."""

    estimate = models.ForeignKey(IssuedEstimate, on_delete=models.PROTECT, related_name="links")
    digest = models.CharField(max_length=64, unique=True, validators=[SHA256])
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return f"link to {self.estimate}"


class Decision(models.Model):
    """One decision on one revision; the latest counts. A refusal of everything has no accepted item."""

    class Way(models.TextChoices):
        LINK = "link", "through the private link"
        DESK = "desk", "recorded at the desk"

    estimate = models.ForeignKey(IssuedEstimate, on_delete=models.PROTECT, related_name="decisions")
    sha256 = models.CharField(max_length=64, validators=[SHA256], help_text="of the document decided on")
    decided_at = models.DateTimeField()
    name = models.CharField(max_length=120, help_text="typed by whoever decided")
    way = models.CharField(max_length=8, choices=Way)
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    note = models.CharField(max_length=500, blank=True)
    authorised_total = money_field(help_text="of what was accepted, with tax")
    authorised_without_tax = money_field()
    ceiling_total = money_field(help_text="with every contingent item that what was accepted may bring")

    class Meta:
        ordering = ["-decided_at", "-pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(name=""), name="decision_has_a_name"),
            models.CheckConstraint(condition=Q(way__in=["link", "desk"]), name="decision_way_is_known"),
        ]

    def __str__(self) -> str:
        return f"{self.estimate} by {self.name}"


class DecidedItem(models.Model):
    """Yes or no to one item of the estimate."""

    decision = models.ForeignKey(Decision, on_delete=models.PROTECT, related_name="items")
    item = models.CharField(max_length=160, help_text="the item's key in the document")
    accepted = models.BooleanField()

    class Meta:
        ordering = ["decision", "pk"]
        constraints = [models.UniqueConstraint(fields=["decision", "item"], name="decided_item_once")]

    def __str__(self) -> str:
        return f"{self.item}: {'yes' if self.accepted else 'no'}"
