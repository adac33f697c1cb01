"""Faults of the rules put beside the fields of a form."""

from collections.abc import Callable, Iterable

from django import forms

from shop.rules.errors import Fault


def put_beside(form: forms.Form, faults: Iterable[Fault], field_of: Callable[[str], str | None]) -> None:
    """Each fault beside the field that `field_of` its place names; over the form where it names none.

    The same sentence comes once: a temperature that serves eight readings is wrong once, not eight times.
    """
    said: set[tuple[str | None, str]] = set()
    for fault in faults:
        field = field_of(fault.where)
        if field not in form.fields:
            field = None
        text = f"{sentence(fault.what)} {sentence(fault.right)}"
        if field is None:
            text = f"{sentence(fault.where)} {text}"
        if (field, text) not in said:
            said.add((field, text))
            form.add_error(field, text)


def sentence(text: str) -> str:
    """With a capital at its start and a full stop at its end."""
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "!", "?")) else ".")
