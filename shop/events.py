"""Writing the audit trail. Call it inside the transaction of what it records, so that both stand or fall."""

from datetime import datetime
from typing import Any

from django.contrib.auth.models import AbstractBaseUser

from shop.models import Event


def record(what: str, subject: str, *, at: datetime, by: AbstractBaseUser | None, **detail: Any) -> None:
    """One event about `subject` (a natural key). `detail` is JSON: texts and whole numbers, no floats."""
    Event.objects.create(
        at=at, by_id=by.pk if by is not None else None, what=what, subject=subject, detail=detail
    )
