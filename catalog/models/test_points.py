"""Components that can be at fault, and the measurements that tell them apart."""

from decimal import Decimal

from django.db import models
from django.db.models import F, Q

from catalog.models.access import AccessStep
from catalog.models.family_items import Caution, FamilyItem
from catalog.models.parts import PartType
from shop.models.fields import quantity_field


class Component(FamilyItem):
    """Something that can be at fault: a heater, a relay contact, a harness lead, a hose."""

    part_type = models.ForeignKey(
        PartType, null=True, blank=True, on_delete=models.PROTECT, related_name="components"
    )
    likelihood = models.DecimalField(
        max_digits=8,
        decimal_places=3,
        default=Decimal(1),
        help_text="relative: 10 fails ten times as often as 1",
    )

    class Meta(FamilyItem.Meta):
        constraints = [
            *FamilyItem.Meta.constraints,
            models.CheckConstraint(condition=Q(likelihood__gt=0), name="component_likelihood_positive"),
        ]


class TestPoint(FamilyItem):
    """A defined measurement, with what lies in its path and what a good reading is."""

    __test__ = False  # not a test class, whatever its name says to a test runner

    class Kind(models.TextChoices):
        NUMBER = "number", "a number"
        LAMP = "lamp", "test lamp on or off"

    kind = models.CharField(max_length=10, choices=Kind)
    unit = models.CharField(max_length=30, blank=True, help_text="UCUM code of a number")
    minimum = quantity_field(null=True, blank=True)
    maximum = quantity_field(null=True, blank=True)
    places = models.PositiveSmallIntegerField(default=0, help_text="decimal places of the limits as stated")
    lamp = models.CharField(
        max_length=3, blank=True, choices=[("on", "on"), ("off", "off")], help_text="good when"
    )
    temperature_min = models.DecimalField(
        max_digits=6, decimal_places=1, null=True, blank=True, help_text="degC"
    )
    temperature_max = models.DecimalField(
        max_digits=6, decimal_places=1, null=True, blank=True, help_text="degC"
    )
    temperature_coefficient = models.DecimalField(
        max_digits=9, decimal_places=6, null=True, blank=True, help_text="per kelvin, referred to 20 degC"
    )
    minutes = models.PositiveSmallIntegerField(help_text="for the first position, access not counted")
    minutes_further = models.PositiveSmallIntegerField(help_text="for each further position")
    instruction = models.TextField(blank=True)
    cautions = models.ManyToManyField(Caution, through="TestPointCaution", related_name="test_points")

    class Meta(FamilyItem.Meta):
        constraints = [
            *FamilyItem.Meta.constraints,
            models.CheckConstraint(
                condition=(
                    Q(kind="number", lamp="")
                    & ~Q(unit="")
                    & (Q(minimum__isnull=False) | Q(maximum__isnull=False))
                )
                | (Q(kind="lamp", unit="", minimum__isnull=True, maximum__isnull=True) & ~Q(lamp="")),
                name="testpoint_expects_a_number_or_a_lamp",
            ),
            models.CheckConstraint(
                condition=Q(minimum__isnull=True) | Q(maximum__isnull=True) | Q(minimum__lte=F("maximum")),
                name="testpoint_limits_in_order",
            ),
            models.CheckConstraint(
                condition=Q(temperature_min__isnull=True)
                | Q(temperature_max__isnull=True)
                | Q(temperature_min__lte=F("temperature_max")),
                name="testpoint_temperatures_in_order",
            ),
            models.CheckConstraint(
                condition=Q(minutes_further__lte=F("minutes")), name="testpoint_first_not_shorter"
            ),
        ]


class TestPointComponent(models.Model):
    """What the measured path runs through, in series."""

    __test__ = False

    test_point = models.ForeignKey(TestPoint, on_delete=models.CASCADE, related_name="path")
    component = models.ForeignKey(Component, on_delete=models.PROTECT, related_name="test_points")
    ordinal = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["test_point", "ordinal"]
        constraints = [
            models.UniqueConstraint(fields=["test_point", "component"], name="testpoint_component_once"),
            models.UniqueConstraint(fields=["test_point", "ordinal"], name="testpoint_ordinal_once"),
        ]

    def __str__(self) -> str:
        return f"{self.test_point}: {self.component}"


class TestPointAccess(models.Model):
    __test__ = False

    test_point = models.ForeignKey(TestPoint, on_delete=models.CASCADE, related_name="access")
    step = models.ForeignKey(AccessStep, on_delete=models.PROTECT, related_name="test_points")

    class Meta:
        ordering = ["test_point", "step"]
        constraints = [models.UniqueConstraint(fields=["test_point", "step"], name="testpoint_access_once")]

    def __str__(self) -> str:
        return f"{self.test_point}: {self.step}"


class TestPointCaution(models.Model):
    __test__ = False

    test_point = models.ForeignKey(TestPoint, on_delete=models.CASCADE)
    caution = models.ForeignKey(Caution, on_delete=models.PROTECT)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["test_point", "caution"], name="testpoint_caution_once")
        ]

    def __str__(self) -> str:
        return f"{self.test_point}: {self.caution}"
