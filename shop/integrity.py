"""What the database refused, in words, so that a refusal reaches a person and never a stack trace."""

from django.db import IntegrityError

TAKEN = "another entry with the same key is there already"
IN_USE = "something it names is not there, or something else still needs it"
OTHER = "the database refused it, because it breaks a rule of the data"


def guard_message(error: IntegrityError) -> str | None:
    """The sentence of the guard (see shop.guards) that refused a row, None when it was not a guard."""
    cause = error.__cause__
    if getattr(cause, "sqlite_errorname", "") == "SQLITE_CONSTRAINT_TRIGGER":
        return str(cause)
    diagnosis = getattr(cause, "diag", None)
    if diagnosis is not None and str(diagnosis.constraint_name or "").startswith("guard_"):
        return str(diagnosis.message_primary)
    return None


def refusal(error: IntegrityError) -> str:
    """One sentence for whoever sent the data: the guard's own, else what kind of rule it broke."""
    by_guard = guard_message(error)
    if by_guard is not None:
        return by_guard
    cause = error.__cause__
    kind = getattr(cause, "sqlite_errorname", "") or getattr(cause, "sqlstate", "") or ""
    if kind in ("SQLITE_CONSTRAINT_UNIQUE", "SQLITE_CONSTRAINT_PRIMARYKEY", "23505"):
        return TAKEN
    if kind in ("SQLITE_CONSTRAINT_FOREIGNKEY", "23503"):
        return IN_USE
    return OTHER
