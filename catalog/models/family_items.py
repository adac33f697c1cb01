"""What service data hangs on: things named under one engine family, and the cautions that go with work."""

from django.db import models
from django.db.models import Q

from catalog.models.engines import EngineFamily, Scope
from shop.models.fields import code_field


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
