"""Searching by part number in any spelling, wherever a part is listed."""

from typing import Any

from django.db.models import Q, QuerySet
from django.http import HttpRequest

from catalog.rules.partnumber import normalise
from shop.rules.errors import Refused


class ByPartNumber:
    """Numbers that start with what was typed, however it was spelt, or `also_in` holding it as words."""

    to_part = "part__"
    also_in: tuple[str, ...] = ()

    def get_search_results(
        self, request: HttpRequest, queryset: QuerySet[Any], search_term: str
    ) -> tuple[QuerySet[Any], bool]:
        try:
            compact = normalise(search_term)
        except Refused:  # nothing but spaces and dashes: no search at all
            return queryset, False
        found = Q(**{f"{self.to_part}normalised__startswith": compact})
        for path in self.also_in:
            found |= Q(**{f"{path}__icontains": search_term.strip()})
        return queryset.filter(found), False
