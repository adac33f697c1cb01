"""Specs: defined quantities with limits, unit, conditions and source."""

from django.db import models
from django.db.models import F, Q

from catalog.models.engines import EngineFamily
from catalog.models.parts import Part, PartType
from shop.models.fields import code_field, quantity_field


class Property(models.Model):
    """A defined quantity, or a text attribute where `unit` is empty."""

    code = code_field(unique=True)
    name = models.CharField(max_length=120)
    unit = models.CharField(max_length=30, blank=True, help_text="UCUM code; empty for text")
    description = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["code"]
        verbose_name_plural = "properties"

    def __str__(self) -> str:
        return self.name


class Source(models.Model):
    """The document a value was taken from."""

    code = code_field(unique=True)
    title = models.CharField(max_length=200)
    revision = models.CharField(max_length=60, blank=True)
    publisher = models.CharField(max_length=120, blank=True)
    dated = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return f"{self.title} {self.revision}".strip()


class Spec(models.Model):
    """A value of a property: of one part, or of a part type as fitted to one engine family.

    Values are kept as given: `places` is the number of decimal places the source states, so that 0.60 never
    becomes 0.6 or 0.600000.
    """

    property = models.ForeignKey(Property, on_delete=models.PROTECT, related_name="specs")
    part_type = models.ForeignKey(PartType, on_delete=models.PROTECT, related_name="specs")
    part = models.ForeignKey(Part, null=True, blank=True, on_delete=models.CASCADE, related_name="specs")
    family = models.ForeignKey(
        EngineFamily, null=True, blank=True, on_delete=models.CASCADE, related_name="specs"
    )
    condition = models.CharField(max_length=120, blank=True, help_text="in words, like: engine cold")
    temperature_min = models.DecimalField(
        max_digits=6, decimal_places=1, null=True, blank=True, help_text="degC"
    )
    temperature_max = models.DecimalField(
        max_digits=6, decimal_places=1, null=True, blank=True, help_text="degC"
    )
    minimum = quantity_field(null=True, blank=True)
    nominal = quantity_field(null=True, blank=True)
    maximum = quantity_field(null=True, blank=True)
    places = models.PositiveSmallIntegerField(default=0, help_text="decimal places as stated by the source")
    text = models.CharField(max_length=200, blank=True)
    source = models.ForeignKey(Source, on_delete=models.PROTECT, related_name="specs")
    verified = models.BooleanField(default=False)

    class Meta:
        ordering = ["part_type", "property", "nominal", "pk"]
        indexes = [
            models.Index(fields=["part_type", "property", "nominal", "id"], name="spec_table"),
            models.Index(fields=["family", "part_type", "property"], name="spec_family"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(part__isnull=False, family__isnull=True)
                | Q(part__isnull=True, family__isnull=False),
                name="spec_of_a_part_or_of_a_family",
            ),
            models.UniqueConstraint(
                fields=["part", "property", "condition"],
                condition=Q(part__isnull=False),
                name="spec_once_per_part",
            ),
            models.UniqueConstraint(
                fields=["family", "part_type", "property", "condition"],
                condition=Q(family__isnull=False),
                name="spec_once_per_family",
            ),
            models.CheckConstraint(
                condition=(Q(minimum__isnull=True) | Q(maximum__isnull=True) | Q(minimum__lte=F("maximum")))
                & (Q(minimum__isnull=True) | Q(nominal__isnull=True) | Q(minimum__lte=F("nominal")))
                & (Q(nominal__isnull=True) | Q(maximum__isnull=True) | Q(nominal__lte=F("maximum"))),
                name="spec_limits_in_order",
            ),
            models.CheckConstraint(
                condition=Q(minimum__isnull=False)
                | Q(nominal__isnull=False)
                | Q(maximum__isnull=False)
                | ~Q(text=""),
                name="spec_has_a_value",
            ),
            models.CheckConstraint(
                condition=Q(temperature_min__isnull=True)
                | Q(temperature_max__isnull=True)
                | Q(temperature_min__lte=F("temperature_max")),
                name="spec_temperatures_in_order",
            ),
            models.CheckConstraint(condition=Q(places__lte=6), name="spec_places_at_most_6"),
        ]

    def __str__(self) -> str:
        return f"{self.property} of {self.part or self.family}"

    def save(self, *args: object, **kwargs: object) -> None:
        if self.part is not None:
            self.part_type_id = self.part.part_type_id
        super().save(*args, **kwargs)  # type: ignore[arg-type]
