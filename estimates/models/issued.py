"""Issued estimates: frozen. The database refuses update, delete and truncate (see estimates.guards)."""

from django.conf import settings
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q

from estimates.models.jobs import Job
from shop.models.fields import currency_field, money_field, quantity_field

SHA256 = RegexValidator(r"^[0-9a-f]{64}$", "A SHA-256 in hexadecimal has 64 digits.")


class IssuedEstimate(models.Model):
    """One revision as it was given to the customer: a canonical JSON document (RFC 8785) and its SHA-256."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="estimates")
    number = models.CharField(max_length=24)
    revision = models.PositiveSmallIntegerField(default=1)
    replaces = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="replaced_by"
    )
    issued_at = models.DateTimeField()
    issued_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.PROTECT, related_name="+"
    )
    valid_until = models.DateField()
    currency = currency_field()
    firm_total = money_field(help_text="with tax")
    ceiling_total = money_field(help_text="firm and every contingent item, with tax")
    options_total = money_field(help_text="with every option too, with tax")
    document = models.TextField(help_text="canonical JSON")
    sha256 = models.CharField(max_length=64, validators=[SHA256])
    cost_basis = models.TextField(
        blank=True,
        help_text="canonical JSON: the buying plan that the prices rest on; never printed",
    )

    class Meta:
        ordering = ["-issued_at", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["number", "revision"], name="issued_revision_once"),
            models.CheckConstraint(condition=Q(revision__gte=1), name="issued_revision_from_1"),
            models.CheckConstraint(
                condition=Q(revision=1, replaces__isnull=True) | Q(revision__gt=1, replaces__isnull=False),
                name="issued_revision_replaces_another",
            ),
            models.CheckConstraint(
                condition=Q(ceiling_total__gte=F("firm_total")) & Q(options_total__gte=F("ceiling_total")),
                name="issued_totals_in_order",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number} revision {self.revision}"


class IssuedLine(models.Model):
    """A line of an issued estimate, for asking questions across estimates; the document stays the truth."""

    estimate = models.ForeignKey(IssuedEstimate, on_delete=models.PROTECT, related_name="lines")
    ordinal = models.PositiveSmallIntegerField()
    item = models.CharField(max_length=160)
    group = models.CharField(max_length=12)
    kind = models.CharField(max_length=12)
    description = models.CharField(max_length=300)
    part_brand = models.CharField(max_length=60, blank=True)
    part_number = models.CharField(max_length=60, blank=True)
    supplier = models.CharField(max_length=60, blank=True)
    minutes = models.PositiveIntegerField(null=True, blank=True)
    quantity = quantity_field()
    unit_cost = money_field(null=True, blank=True, help_text="what the shop pays per piece; never printed")
    unit_price = money_field()
    net = money_field()

    class Meta:
        ordering = ["estimate", "ordinal"]
        constraints = [
            models.UniqueConstraint(fields=["estimate", "ordinal"], name="issued_line_once"),
            models.CheckConstraint(
                condition=Q(group__in=["firm", "contingent", "optional"]), name="issued_line_group_is_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.estimate}, line {self.ordinal}"


class IssuedFile(models.Model):
    """A rendering of an issued estimate, kept as it was given out."""

    estimate = models.ForeignKey(IssuedEstimate, on_delete=models.PROTECT, related_name="files")
    media_type = models.CharField(max_length=60)
    name = models.CharField(max_length=120)
    content = models.BinaryField()
    sha256 = models.CharField(max_length=64, validators=[SHA256])

    class Meta:
        ordering = ["estimate", "name"]
        constraints = [models.UniqueConstraint(fields=["estimate", "name"], name="issued_file_once")]

    def __str__(self) -> str:
        return self.name
