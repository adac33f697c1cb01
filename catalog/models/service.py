"""Service data: components, test points, access steps, operations, and what the work uses up or may break."""

from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q

from catalog.models.engines import EngineFamily, Scope
from catalog.models.parts import PartType
from catalog.models.specs import Property
from shop.models.fields import code_field, quantity_field


class Caution(models.Model):
    """A warning printed wherever the work it belongs to is printed."""

    code = code_field(unique=True)
    text = models.TextField()

    class Meta:
        ordering = ["code"]

    def __str__(self) -> str:
        return self.code


class FamilyItem(models.Model):
    """Named under one engine family; the natural key is (family, code)."""

    family = models.ForeignKey(EngineFamily, on_delete=models.CASCADE, related_name="%(class)ss")
    code = code_field()
    name = models.CharField(max_length=160)
    scope = models.CharField(max_length=10, choices=Scope, help_text="where there is one of it")

    class Meta:
        abstract = True
        ordering = ["family", "code"]
        constraints = [
            models.UniqueConstraint(fields=["family", "code"], name="%(class)s_once_per_family"),
            models.CheckConstraint(
                condition=Q(scope__in=["engine", "bank", "cylinder"]), name="%(class)s_scope_is_known"
            ),
        ]

    def __str__(self) -> str:
        return self.name


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


class Operation(FamilyItem):
    """A repair on an engine family: its own time at the first and each further position."""

    repairs = models.ForeignKey(
        Component, null=True, blank=True, on_delete=models.PROTECT, related_name="operations",
        help_text="a finding on this component calls for the operation",
    )  # fmt: skip
    description = models.TextField(blank=True, help_text="what is done, for the customer")
    minutes = models.PositiveSmallIntegerField(help_text="first position, access not counted")
    minutes_further = models.PositiveSmallIntegerField(help_text="each further position")
    rank = models.PositiveSmallIntegerField(
        default=1, help_text="1 is proposed where several repair one component"
    )
    removes_control = models.BooleanField(
        default=False, help_text="removes an emissions or safety control: refused in road use"
    )
    cautions = models.ManyToManyField(Caution, through="OperationCaution", related_name="operations")

    class Meta(FamilyItem.Meta):
        constraints = [
            *FamilyItem.Meta.constraints,
            models.CheckConstraint(
                condition=Q(minutes_further__lte=F("minutes")), name="operation_first_not_shorter"
            ),
            models.UniqueConstraint(
                fields=["repairs", "rank"],
                condition=Q(repairs__isnull=False),
                name="operation_rank_once_per_component",
            ),
        ]


class OperationAccess(models.Model):
    operation = models.ForeignKey(Operation, on_delete=models.CASCADE, related_name="access")
    step = models.ForeignKey(AccessStep, on_delete=models.PROTECT, related_name="operations")

    class Meta:
        ordering = ["operation", "step"]
        constraints = [models.UniqueConstraint(fields=["operation", "step"], name="operation_access_once")]

    def __str__(self) -> str:
        return f"{self.operation}: {self.step}"


class PartNeed(models.Model):
    """What an operation or an access step uses: exactly one of the two is set."""

    class Necessity(models.TextChoices):
        REQUIRED = "required", "required"
        ONE_TIME = "one-time", "one-time: never reused"
        IF_DAMAGED = "if-damaged", "if damaged"
        CONSUMABLE = "consumable", "consumable"

    class Per(models.TextChoices):
        POSITION = "position", "position"
        BANK = "bank", "bank"
        JOB = "job", "job"

    operation = models.ForeignKey(
        Operation, null=True, blank=True, on_delete=models.CASCADE, related_name="needs"
    )
    step = models.ForeignKey(
        AccessStep, null=True, blank=True, on_delete=models.CASCADE, related_name="needs"
    )
    part_type = models.ForeignKey(PartType, on_delete=models.PROTECT, related_name="needs")
    quantity = models.PositiveSmallIntegerField(validators=[MinValueValidator(1)])
    per = models.CharField(max_length=10, choices=Per, default=Per.POSITION)
    necessity = models.CharField(max_length=12, choices=Necessity)

    class Meta:
        ordering = ["operation", "step", "part_type"]
        constraints = [
            models.CheckConstraint(
                condition=Q(operation__isnull=False, step__isnull=True)
                | Q(operation__isnull=True, step__isnull=False),
                name="part_need_of_an_operation_or_a_step",
            ),
            models.UniqueConstraint(
                fields=["operation", "part_type"],
                condition=Q(step__isnull=True),
                name="part_need_once_per_operation",
            ),
            models.UniqueConstraint(
                fields=["step", "part_type"],
                condition=Q(operation__isnull=True),
                name="part_need_once_per_step",
            ),
            models.CheckConstraint(condition=Q(quantity__gte=1), name="part_need_quantity_positive"),
            models.CheckConstraint(
                condition=Q(necessity__in=["required", "one-time", "if-damaged", "consumable"]),
                name="part_need_necessity_is_known",
            ),
            models.CheckConstraint(
                condition=Q(per__in=["position", "bank", "job"]), name="part_need_per_is_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} x {self.part_type} per {self.per}"


class ServiceValue(models.Model):
    """A family spec needed at hand while working, like a tightening torque: one owner each."""

    operation = models.ForeignKey(
        Operation, null=True, blank=True, on_delete=models.CASCADE, related_name="values"
    )
    step = models.ForeignKey(
        AccessStep, null=True, blank=True, on_delete=models.CASCADE, related_name="values"
    )
    part_type = models.ForeignKey(PartType, on_delete=models.PROTECT, related_name="+")
    property = models.ForeignKey(Property, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["operation", "step", "part_type", "property"]
        constraints = [
            models.CheckConstraint(
                condition=Q(operation__isnull=False, step__isnull=True)
                | Q(operation__isnull=True, step__isnull=False),
                name="service_value_of_an_operation_or_a_step",
            ),
            models.UniqueConstraint(
                fields=["operation", "part_type", "property"],
                condition=Q(step__isnull=True),
                name="service_value_once_per_operation",
            ),
            models.UniqueConstraint(
                fields=["step", "part_type", "property"],
                condition=Q(operation__isnull=True),
                name="service_value_once_per_step",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.property} of {self.part_type}"


class OperationRisk(models.Model):
    """What may go wrong while an operation is done, and what must follow then."""

    operation = models.ForeignKey(Operation, on_delete=models.CASCADE, related_name="risks")
    follow_on = models.ForeignKey(Operation, on_delete=models.PROTECT, related_name="follows")
    condition = models.CharField(
        max_length=200, help_text="in words: only if the heater breaks while it is unscrewed"
    )
    likelihood = models.DecimalField(
        max_digits=4,
        decimal_places=3,
        default=Decimal("0.05"),
        help_text="between 0 and 1, for the writer only",
    )

    class Meta:
        ordering = ["operation", "follow_on"]
        constraints = [
            models.UniqueConstraint(fields=["operation", "follow_on"], name="operation_risk_once"),
            models.CheckConstraint(
                condition=Q(likelihood__gt=0, likelihood__lt=1),
                name="operation_risk_likelihood_between_0_and_1",
            ),
            models.CheckConstraint(condition=~Q(operation=F("follow_on")), name="operation_risk_not_itself"),
        ]

    def __str__(self) -> str:
        return self.condition


class StepCaution(models.Model):
    step = models.ForeignKey(AccessStep, on_delete=models.CASCADE)
    caution = models.ForeignKey(Caution, on_delete=models.PROTECT)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["step", "caution"], name="step_caution_once")]

    def __str__(self) -> str:
        return f"{self.step}: {self.caution}"


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


class OperationCaution(models.Model):
    operation = models.ForeignKey(Operation, on_delete=models.CASCADE)
    caution = models.ForeignKey(Caution, on_delete=models.PROTECT)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["operation", "caution"], name="operation_caution_once")
        ]

    def __str__(self) -> str:
        return f"{self.operation}: {self.caution}"
