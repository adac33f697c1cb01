"""Price files from suppliers: which were taken in, what waits for a person, what is being looked over."""

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q

from catalog.models.parts import Part
from catalog.models.supply import Supplier
from shop.models.fields import ZERO, money_field


class PriceFile(models.Model):
    """One file that was taken in, with what became of its rows."""

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="price_files")
    name = models.CharField(max_length=200, help_text="of the file, without its folder")
    sha256 = models.CharField(max_length=64, help_text="of its bytes, to know the same file again")
    valid_from = models.DateField(help_text="the first day of its prices; the earliest where rows differ")
    complete = models.BooleanField(
        default=False, help_text="it holds everything the supplier sells: what is not in it was ended"
    )
    reading = models.JSONField(default=dict, blank=True, help_text="how it was read: columns, brand, signs")
    new = models.PositiveIntegerField(default=0)
    changed = models.PositiveIntegerField(default=0)
    unchanged = models.PositiveIntegerField(default=0)
    held = models.PositiveIntegerField(default=0)
    ended = models.PositiveIntegerField(default=0)
    left_out = models.PositiveIntegerField(default=0, help_text="rows for parts that are not on record")
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    at = models.DateTimeField()

    class Meta:
        ordering = ["supplier", "-at", "-pk"]
        indexes = [models.Index(fields=["supplier", "-at"], name="price_file_latest")]

    def __str__(self) -> str:
        return f"{self.name} of {self.supplier}"


class HeldPrice(models.Model):
    """A row of a price file whose price jumped: not an offer until a person accepts it."""

    class State(models.TextChoices):
        WAITING = "waiting", "waiting"
        ACCEPTED = "accepted", "accepted"
        REFUSED = "refused", "refused"
        OVERTAKEN = "overtaken", "overtaken by a newer file"

    price_file = models.ForeignKey(PriceFile, on_delete=models.CASCADE, related_name="held_prices")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="held_prices")
    row = models.PositiveIntegerField(help_text="in the file, counted as a spreadsheet counts")
    old_price = money_field()
    price = money_field(help_text="per piece, without tax, in the supplier's currency")
    supplier_number = models.CharField(max_length=60, blank=True)
    pack = models.PositiveIntegerField(default=1, validators=[MinValueValidator(1)])
    minimum_quantity = models.PositiveIntegerField(default=1, validators=[MinValueValidator(1)])
    deposit = money_field(default=ZERO)
    lead_days = models.PositiveSmallIntegerField(default=0)
    valid_from = models.DateField()
    valid_until = models.DateField(null=True, blank=True)
    breaks = models.TextField(blank=True, help_text="price breaks, such as 10:4.5000,50:4.2000")
    state = models.CharField(max_length=12, choices=State, default=State.WAITING)
    decided_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    decided_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["price_file", "row"]
        indexes = [
            models.Index(fields=["part"], condition=Q(state="waiting"), name="held_price_waiting"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["price_file", "part", "valid_from"], name="held_price_once"),
            models.CheckConstraint(
                condition=Q(price__gte=0, old_price__gte=0, deposit__gte=0),
                name="held_price_amounts_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(pack__gte=1, minimum_quantity__gte=1), name="held_price_quantities_positive"
            ),
            models.CheckConstraint(
                condition=Q(valid_until__isnull=True) | Q(valid_from__lte=F("valid_until")),
                name="held_price_valid_from_before_until",
            ),
            models.CheckConstraint(
                condition=Q(state__in=["waiting", "accepted", "refused", "overtaken"]),
                name="held_price_state_is_known",
            ),
            models.CheckConstraint(
                condition=Q(state="waiting", decided_at__isnull=True)
                | (~Q(state="waiting") & Q(decided_at__isnull=False)),
                name="held_price_decided_when_not_waiting",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part}: {self.old_price} -> {self.price}"


class PriceUpload(models.Model):
    """A file given on the page and looked over there; gone once it is taken in or a day old."""

    supplier = models.ForeignKey(Supplier, on_delete=models.CASCADE, related_name="price_uploads")
    name = models.CharField(max_length=200)
    content = models.BinaryField(help_text="the file's bytes: any web process may be asked for it next")
    asked = models.JSONField(default=dict, help_text="what was asked for: first day, columns, brand")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    at = models.DateTimeField(db_index=True)

    class Meta:
        ordering = ["-at"]

    def __str__(self) -> str:
        return f"{self.name} for {self.supplier}"
