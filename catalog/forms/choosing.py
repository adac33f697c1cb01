"""Choosing one row of a list that may be three or a hundred thousand long.

A short list is a list to choose from. A long one is a field to type in: while somebody types, the page asks
for the rows whose code or name begins like that, and offers them below the field; the code or the whole name
is taken as well where nothing is offered.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Model, Q, QuerySet
from django.urls import reverse_lazy

from catalog.models import EngineFamily, PartType, Property, Source

MOST_LISTED = 200
MOST_OFFERED = 30
MOST_NEAR = 3


@dataclass(frozen=True)
class Kind:
    """What is chosen: its rows, the column people know it by, and what to call one."""

    model: type[Model]
    name: str
    words: str

    def rows(self) -> QuerySet[Any]:
        return self.model._default_manager.all()

    def key(self, code: str) -> int | None:
        """The primary key of the row with this code; None where it has just been taken away."""
        return self.rows().filter(code=code).values_list("pk", flat=True).first()

    def like(self, text: str, most: int) -> list[tuple[str, str]]:
        """Code and name of rows whose code begins so or whose name has it in it."""
        near = Q(code__istartswith=text) | Q(**{f"{self.name}__icontains": text})
        return list(self.rows().filter(near).order_by(self.name).values_list("code", self.name)[:most])


KINDS: Mapping[str, Kind] = {
    "family": Kind(EngineFamily, "name", "engine family"),
    "type": Kind(PartType, "name", "part type"),
    "property": Kind(Property, "name", "property"),
    "source": Kind(Source, "title", "source"),
}


def choosing(kind: str, label: str, *, nothing: str = "any") -> forms.Field:
    """A field whose cleaned value is a code of `kind`, or "". One statement."""
    of = KINDS[kind]
    # Unsorted, so that of a long list no more is read than tells that it is long.
    some = list(of.rows().order_by().values_list("code", of.name)[: MOST_LISTED + 1])
    if len(some) > MOST_LISTED:
        return LookUpField(kind, label)
    some.sort(key=lambda row: row[1].casefold())
    return forms.ChoiceField(label=label, required=False, choices=[("", nothing), *some])


class LookUpField(forms.CharField):
    def __init__(self, kind: str, label: str) -> None:
        super().__init__(label=label, required=False, max_length=200, help_text="type its code or its name")
        self.kind = KINDS[kind]
        self.offers = f"{kind}-offers"
        self.widget.attrs |= {
            "list": self.offers,
            "autocomplete": "off",
            "hx-get": reverse_lazy("spec-choices", args=[kind]),
            "hx-trigger": "input changed delay:250ms",
            "hx-target": f"#{self.offers}",
            "hx-select": f"#{self.offers}",
            "hx-swap": "outerHTML",
            "hx-push-url": "false",
            "hx-include": "this",
        }

    def clean(self, value: Any) -> str:
        text = super().clean(value)
        if not text:
            return ""
        found = Q(code=text) | Q(**{f"{self.kind.name}__iexact": text})
        codes = list(self.kind.rows().filter(found).order_by("code").values_list("code", flat=True)[:2])
        if text in codes:
            return str(text)
        if len(codes) == 1:
            return str(codes[0])
        near = [f"{name} ({code})" for code, name in self.kind.like(text, MOST_NEAR)]
        told = "several of this name; give the code" if codes else f"there is no {self.kind.words} '{text}'"
        raise ValidationError(told + (f"; is it {' or '.join(near)}?" if near else ""))
