"""Supply: who sells which part, for how much, from how many, how soon, until when."""

from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q

from catalog.models.parts import Part
from catalog.rules.partnumber import comparable
from shop.models.fields import ZERO, code_field, currency_field, money_field


class Supplier(models.Model):
    code = code_field(unique=True)
    name = models.CharField(max_length=120)
    currency = currency_field()
    freight = money_field(default=ZERO, help_text="per order")
    free_freight_from = money_field(null=True, blank=True, help_text="order value without tax")
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=60, blank=True)
    blocked = models.BooleanField(default=False, help_text="never buy here")
    preferred = models.BooleanField(default=False, help_text="taken where it costs little more")
    hold_percent = models.DecimalField(
        max_digits=5,
        decimal_places=1,
        default=Decimal(25),
        help_text="a price in a price file that moves by more than this is held for a person",
    )
    stale_after_days = models.PositiveSmallIntegerField(
        default=180,
        validators=[MinValueValidator(1)],
        help_text="a price older than this is called stale wherever it is shown",
    )
    price_columns = models.JSONField(
        default=dict, blank=True, help_text="the columns of this supplier's price files, as used last"
    )

    class Meta:
        ordering = ["code"]
        constraints = [
            models.CheckConstraint(condition=Q(freight__gte=0), name="supplier_freight_not_negative"),
            models.CheckConstraint(
                condition=Q(free_freight_from__isnull=True) | Q(free_freight_from__gte=0),
                name="supplier_free_freight_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(hold_percent__gte=0), name="supplier_hold_percent_not_negative"
            ),
            models.CheckConstraint(
                condition=Q(stale_after_days__gte=1), name="supplier_stale_after_at_least_a_day"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Offer(models.Model):
    """A supplier's offer of one part. The price holds per piece; packs only restrict quantities."""

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="offers")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="offers")
    supplier_number = models.CharField(max_length=60, blank=True, help_text="the supplier's own number")
    supplier_normalised = models.CharField(
        max_length=60, blank=True, editable=False, help_text="for comparing: see catalog.rules.partnumber"
    )
    price = money_field(help_text="per piece, without tax, in the supplier's currency")
    pack = models.PositiveIntegerField(
        default=1, validators=[MinValueValidator(1)], help_text="sold in multiples of"
    )
    minimum_quantity = models.PositiveIntegerField(default=1, validators=[MinValueValidator(1)])
    deposit = money_field(default=ZERO, help_text="per piece, returned with the old core")
    lead_days = models.PositiveSmallIntegerField(default=0)
    valid_from = models.DateField()
    valid_until = models.DateField(null=True, blank=True, help_text="this day included")

    class Meta:
        ordering = ["part", "price", "pk"]
        indexes = [
            models.Index(fields=["part", "price"], name="offer_part_price"),
            models.Index(
                fields=["supplier_normalised"],
                name="offer_supplier_normalised",
                opclasses=["varchar_pattern_ops"],
            ),
        ]
        constraints = [
            models.UniqueConstraint(fields=["supplier", "part", "valid_from"], name="offer_once"),
            models.CheckConstraint(condition=Q(price__gte=0), name="offer_price_not_negative"),
            models.CheckConstraint(condition=Q(deposit__gte=0), name="offer_deposit_not_negative"),
            models.CheckConstraint(
                condition=Q(pack__gte=1, minimum_quantity__gte=1), name="offer_quantities_positive"
            ),
            models.CheckConstraint(
                condition=Q(valid_until__isnull=True) | Q(valid_from__lte=F("valid_until")),
                name="offer_valid_from_before_until",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.supplier}: {self.part}"

    def save(self, *args: object, **kwargs: object) -> None:
        self.supplier_normalised = comparable(self.supplier_number)
        super().save(*args, **kwargs)  # type: ignore[arg-type]


class PriceBreak(models.Model):
    """From this quantity upwards the piece costs this much."""

    offer = models.ForeignKey(Offer, on_delete=models.CASCADE, related_name="breaks")
    quantity_from = models.PositiveIntegerField(validators=[MinValueValidator(2)])
    price = money_field()

    class Meta:
        ordering = ["offer", "quantity_from"]
        constraints = [
            models.UniqueConstraint(fields=["offer", "quantity_from"], name="price_break_once"),
            models.CheckConstraint(
                condition=Q(quantity_from__gte=2, price__gte=0), name="price_break_is_sane"
            ),
        ]

    def __str__(self) -> str:
        return f"from {self.quantity_from}: {self.price}"


class Stock(models.Model):
    """Pieces of a part on the shop's own shelf: there today, at what was paid for them."""

    part = models.OneToOneField(Part, on_delete=models.PROTECT, related_name="stock")
    quantity = models.PositiveIntegerField()
    unit_cost = money_field()
    currency = currency_field()
    place = models.CharField(max_length=60, blank=True, help_text="shelf or bin")

    class Meta:
        ordering = ["part"]
        verbose_name_plural = "stock"
        constraints = [models.CheckConstraint(condition=Q(unit_cost__gte=0), name="stock_cost_not_negative")]

    def __str__(self) -> str:
        return f"{self.quantity} x {self.part}"
