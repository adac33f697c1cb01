"""Engine families and what can be known of one engine: its positions, serial numbers and options."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from shop.models.fields import code_field


class Maker(models.Model):
    code = code_field(unique=True)
    name = models.CharField(max_length=120)

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.name


class SerialScheme(models.Model):
    """How a maker writes serial numbers: prefixes in building order, then a fixed count of digits."""

    code = code_field(unique=True)
    name = models.CharField(max_length=120)
    prefixes = models.CharField(max_length=120, help_text="in building order, separated by spaces")
    digits = models.PositiveSmallIntegerField(validators=[MinValueValidator(1), MaxValueValidator(12)])

    class Meta:
        ordering = ["code"]
        constraints = [
            models.CheckConstraint(
                condition=Q(digits__gte=1, digits__lte=12), name="serial_scheme_digits_between_1_and_12"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class EngineFamily(models.Model):
    """Engines that share service parts."""

    class Layout(models.TextChoices):
        INLINE = "inline", "in line"
        VEE = "vee", "vee"
        OPPOSED = "opposed", "opposed"

    class Numbering(models.TextChoices):
        ISO_1204 = "iso-1204", "ISO 1204 (marine and stationary engines)"
        DIN_73021 = "din-73021", "DIN 73021 (road vehicles)"
        MAKER = "maker", "the maker's own"

    code = code_field(unique=True)
    maker = models.ForeignKey(Maker, on_delete=models.PROTECT, related_name="families")
    name = models.CharField(max_length=120)
    description = models.TextField(blank=True)
    layout = models.CharField(max_length=10, choices=Layout)
    cylinders = models.PositiveSmallIntegerField(validators=[MinValueValidator(1), MaxValueValidator(24)])
    voltage = models.DecimalField(max_digits=4, decimal_places=1, validators=[MinValueValidator(Decimal(1))])
    numbering = models.CharField(max_length=12, choices=Numbering)
    serial_scheme = models.ForeignKey(
        SerialScheme, null=True, blank=True, on_delete=models.PROTECT, related_name="families"
    )

    class Meta:
        ordering = ["code"]
        verbose_name_plural = "engine families"
        constraints = [
            models.CheckConstraint(
                condition=Q(cylinders__gte=1, cylinders__lte=24),
                name="engine_family_cylinders_between_1_and_24",
            ),
            models.CheckConstraint(condition=Q(voltage__gt=0), name="engine_family_voltage_positive"),
            models.CheckConstraint(
                condition=Q(layout__in=["inline", "vee", "opposed"]), name="engine_family_layout_is_known"
            ),
            models.CheckConstraint(
                condition=Q(numbering__in=["iso-1204", "din-73021", "maker"]),
                name="engine_family_numbering_is_known",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Scope(models.TextChoices):
    ENGINE = "engine", "the engine"
    BANK = "bank", "each bank"
    CYLINDER = "cylinder", "each cylinder"


class Position(models.Model):
    """A place on an engine family: the engine itself ("engine"), a bank ("A"), a cylinder ("3")."""

    family = models.ForeignKey(EngineFamily, on_delete=models.CASCADE, related_name="positions")
    code = models.CharField(max_length=12)
    scope = models.CharField(max_length=10, choices=Scope)
    bank = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="cylinders",
        help_text="of a cylinder, where the engine has banks",
    )  # fmt: skip
    ordinal = models.PositiveSmallIntegerField(help_text="order of listing")

    class Meta:
        ordering = ["family", "ordinal"]
        constraints = [
            models.UniqueConstraint(fields=["family", "code"], name="position_code_once_per_family"),
            models.UniqueConstraint(
                fields=["family"], condition=Q(scope="engine"), name="position_engine_once_per_family"
            ),
            models.CheckConstraint(
                condition=Q(scope="cylinder") | Q(bank__isnull=True),
                name="position_only_a_cylinder_has_a_bank",
            ),
            models.CheckConstraint(
                condition=Q(scope__in=["engine", "bank", "cylinder"]), name="position_scope_is_known"
            ),
        ]

    def __str__(self) -> str:
        return self.label

    @property
    def label(self) -> str:
        """For people: "cylinder 3", "bank A", "the engine"."""
        return "the engine" if self.scope == Scope.ENGINE else f"{self.scope} {self.code}"


class EngineOption(models.Model):
    """Something that differs between engines of one family, like the heater connector."""

    family = models.ForeignKey(EngineFamily, on_delete=models.CASCADE, related_name="options")
    code = models.CharField(max_length=60)
    name = models.CharField(max_length=120, help_text="for people: the heater connector")

    class Meta:
        ordering = ["family", "code"]
        constraints = [models.UniqueConstraint(fields=["family", "code"], name="engine_option_once")]

    def __str__(self) -> str:
        return f"{self.family}: {self.name}"


class EngineOptionValue(models.Model):
    option = models.ForeignKey(EngineOption, on_delete=models.CASCADE, related_name="values")
    value = models.CharField(max_length=60)

    class Meta:
        ordering = ["option", "value"]
        constraints = [models.UniqueConstraint(fields=["option", "value"], name="engine_option_value_once")]

    def __str__(self) -> str:
        return f"{self.option.name} = {self.value}"
