"""Parts: what they are, who makes them, what replaced them, what serves alike."""

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q

from catalog.rules import gtin
from catalog.rules.partnumber import normalise
from shop.models.fields import code_field, currency_field, money_field


class PartType(models.Model):
    """What a part is, independent of who makes it."""

    code = code_field(unique=True)
    name = models.CharField(max_length=120)
    plural = models.CharField(max_length=120, blank=True)
    controls = models.BooleanField(
        default=False,
        help_text="an emissions or safety control: never removed without replacement in road use",
    )

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.name


class Brand(models.Model):
    code = code_field(unique=True)
    name = models.CharField(max_length=120)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.name


class Part(models.Model):
    """One brand's numbered article of a part type."""

    class Grade(models.TextChoices):
        ORIGINAL = "original", "original equipment"
        EQUIVALENT = "equivalent", "equivalent"

    brand = models.ForeignKey(Brand, on_delete=models.PROTECT, related_name="parts")
    number = models.CharField(max_length=60, help_text="as the brand writes it")
    normalised = models.CharField(
        max_length=60, editable=False, help_text="for comparing: see catalog.rules.partnumber"
    )
    part_type = models.ForeignKey(PartType, on_delete=models.PROTECT, related_name="parts")
    description = models.CharField(max_length=200, blank=True)
    grade = models.CharField(max_length=12, choices=Grade)
    gtin = models.CharField(max_length=14, blank=True, help_text="GS1 GTIN, padded to 14 digits")
    list_price = money_field(null=True, blank=True)
    list_currency = currency_field(blank=True)

    class Meta:
        ordering = ["brand", "normalised"]
        # The operator class lets PostgreSQL answer "begins with" from the index as well as "equals".
        indexes = [
            models.Index(fields=["normalised"], name="part_normalised", opclasses=["varchar_pattern_ops"])
        ]
        constraints = [
            models.UniqueConstraint(fields=["brand", "normalised"], name="part_number_once_per_brand"),
            models.CheckConstraint(condition=~Q(normalised=""), name="part_number_not_empty"),
            models.CheckConstraint(
                condition=Q(list_price__isnull=True, list_currency="")
                | (Q(list_price__gte=0) & ~Q(list_currency="")),
                name="part_list_price_has_a_currency",
            ),
            models.CheckConstraint(
                condition=Q(grade__in=["original", "equivalent"]), name="part_grade_is_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.brand.name} {self.number}"

    def save(self, *args: object, **kwargs: object) -> None:
        self._normalise()
        super().save(*args, **kwargs)  # type: ignore[arg-type]

    def clean(self) -> None:
        self._normalise()

    def _normalise(self) -> None:
        """Raises Refused for a number of nothing but marks, and for a GTIN whose check figure is wrong."""
        self.normalised = normalise(self.number)
        self.gtin = gtin.normalise(self.gtin) if self.gtin else ""


class Replacement(models.Model):
    """`old` is replaced by `new`; rows of one choice number are needed together (one part became several)."""

    old = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="replaced_by")
    new = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="replaces")
    choice = models.PositiveSmallIntegerField(default=1)
    quantity = models.PositiveSmallIntegerField(default=1, validators=[MinValueValidator(1)])
    both_ways = models.BooleanField(default=False, help_text="the old part serves wherever the new one does")
    valid_from = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["old", "choice", "new"]
        constraints = [
            models.UniqueConstraint(fields=["old", "new", "choice"], name="replacement_once"),
            models.CheckConstraint(condition=~Q(old=F("new")), name="replacement_not_by_itself"),
            models.CheckConstraint(condition=Q(quantity__gte=1), name="replacement_quantity_positive"),
            models.CheckConstraint(
                condition=Q(both_ways=False) | Q(quantity=1), name="replacement_both_ways_one_for_one"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.old} -> {self.new}"


class InterchangeGroup(models.Model):
    """Parts of one type that serve alike."""

    code = code_field(unique=True)
    part_type = models.ForeignKey(PartType, on_delete=models.PROTECT, related_name="interchange_groups")
    name = models.CharField(max_length=120)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.name


class InterchangeMember(models.Model):
    group = models.ForeignKey(InterchangeGroup, on_delete=models.CASCADE, related_name="members")
    part = models.OneToOneField(Part, on_delete=models.CASCADE, related_name="interchange")

    class Meta:
        ordering = ["group", "part"]

    def __str__(self) -> str:
        return f"{self.part} in {self.group}"
