"""Applications: which part serves which engine family, where, how many, under which conditions.

The part type is repeated on the row because "parts of this type for this family" is the question asked all
day; a guard (catalog.guards) keeps it equal to the part's own type.
"""

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q

from catalog.models.engines import EngineFamily, EngineOption, Position, Scope
from catalog.models.parts import Part, PartType


class Application(models.Model):
    class Polarity(models.TextChoices):
        APPLIES = "applies", "applies"
        EXCLUDES = "excludes", "excludes"

    part = models.ForeignKey(Part, on_delete=models.PROTECT, related_name="applications")
    part_type = models.ForeignKey(
        PartType, on_delete=models.PROTECT, related_name="applications", editable=False
    )
    family = models.ForeignKey(EngineFamily, on_delete=models.PROTECT, related_name="applications")
    ordinal = models.PositiveSmallIntegerField(default=1, help_text="tells several rules of one part apart")
    polarity = models.CharField(max_length=10, choices=Polarity, default=Polarity.APPLIES)
    scope = models.CharField(max_length=10, choices=Scope)
    position = models.ForeignKey(
        Position, null=True, blank=True, on_delete=models.PROTECT, related_name="applications",
        help_text="only here; empty means every position of the scope",
    )  # fmt: skip
    quantity = models.PositiveSmallIntegerField(
        default=1, validators=[MinValueValidator(1)], help_text="per position"
    )
    built_from = models.DateField(null=True, blank=True)
    built_until = models.DateField(null=True, blank=True, help_text="this day included")
    serial_from = models.CharField(max_length=40, blank=True)
    serial_until = models.CharField(max_length=40, blank=True, help_text="this number included")
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["family", "part_type", "part", "ordinal"]
        indexes = [
            # Answers "parts of this type for this family" whole, and in the order in which pages follow.
            models.Index(
                fields=["family", "part_type", "part", "ordinal"],
                include=[
                    "id",
                    "polarity",
                    "scope",
                    "position",
                    "quantity",
                    "built_from",
                    "built_until",
                    "serial_from",
                    "serial_until",
                ],
                name="application_family_type",
            ),
        ]
        constraints = [
            models.UniqueConstraint(fields=["part", "family", "ordinal"], name="application_once"),
            models.CheckConstraint(condition=Q(quantity__gte=1), name="application_quantity_positive"),
            models.CheckConstraint(
                condition=Q(built_from__isnull=True)
                | Q(built_until__isnull=True)
                | Q(built_from__lte=F("built_until")),
                name="application_built_from_before_until",
            ),
            models.CheckConstraint(
                condition=Q(polarity__in=["applies", "excludes"]), name="application_polarity_is_known"
            ),
            models.CheckConstraint(
                condition=Q(scope__in=["engine", "bank", "cylinder"]), name="application_scope_is_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part} {self.polarity} {self.family}"

    def save(self, *args: object, **kwargs: object) -> None:
        self.part_type_id = self.part.part_type_id
        super().save(*args, **kwargs)  # type: ignore[arg-type]


class ApplicationOption(models.Model):
    """The rule holds only where the engine has this option value."""

    application = models.ForeignKey(Application, on_delete=models.CASCADE, related_name="options")
    option = models.ForeignKey(EngineOption, on_delete=models.PROTECT, related_name="+")
    value = models.CharField(max_length=60)

    class Meta:
        ordering = ["application", "option"]
        constraints = [
            models.UniqueConstraint(fields=["application", "option"], name="application_option_once")
        ]

    def __str__(self) -> str:
        return f"{self.option.code} = {self.value}"
