"""Field shapes that every app shares, so that money has one precision everywhere."""

from decimal import Decimal
from typing import Any

from django.core.validators import RegexValidator
from django.db import models

CODE = RegexValidator(
    r"^[a-z0-9]+(?:[-.][a-z0-9]+)*$", "Use lower-case letters, digits, dashes and dots, like rocker-cover."
)
CURRENCY = RegexValidator(r"^[A-Z]{3}$", "Use a three-letter ISO 4217 code, like EUR.")


def code_field(**kwargs: Any) -> models.CharField:
    """A natural key: short, lower case, stable across data packs."""
    return models.CharField(max_length=60, validators=[CODE], **kwargs)


def money_field(**kwargs: Any) -> models.DecimalField:
    """An amount in the currency named beside it; four places hold every ISO 4217 minor unit."""
    return models.DecimalField(max_digits=14, decimal_places=4, **kwargs)


def currency_field(**kwargs: Any) -> models.CharField:
    return models.CharField(max_length=3, validators=[CURRENCY], **kwargs)


def percent_field(**kwargs: Any) -> models.DecimalField:
    return models.DecimalField(max_digits=7, decimal_places=4, **kwargs)


def quantity_field(**kwargs: Any) -> models.DecimalField:
    """A measured quantity in its property's UCUM unit."""
    return models.DecimalField(max_digits=18, decimal_places=6, **kwargs)


ZERO = Decimal(0)
