"""Replacements: one row a part; what the rules refuse of all of them together is refused here too."""

from collections.abc import Collection
from dataclasses import replace
from typing import Any

from django.contrib import admin
from django.db.models import Q

from catalog.admin.search import ByPartNumber
from catalog.models import Replacement
from catalog.queries import part_cards
from catalog.rules.replacement import Replacement as Row
from catalog.rules.replacement import check
from shop.admin.base import MasterAdmin, MasterInline
from shop.admin.forms import MasterForm, faults
from shop.rules.errors import Refused


def connected(part_ids: Collection[int]) -> dict[int, Row]:
    """By primary key, every row that hangs together with these parts, either way round, named by label."""
    found: dict[int, Row] = {}
    frontier, asked = set(part_ids), set()
    while frontier:
        asked |= frontier
        rows = Replacement.objects.filter(Q(old__in=frontier) | Q(new__in=frontier))
        frontier = set()
        for row in rows:
            found[row.pk] = Row(
                str(row.old_id), str(row.new_id), row.choice, row.quantity, row.both_ways, row.valid_from
            )
            frontier |= {row.old_id, row.new_id} - asked
    names = {str(part): card.label for part, card in part_cards(asked).items()}
    return {pk: replace(row, old=names[row.old], new=names[row.new]) for pk, row in found.items()}


class ReplacementForm(MasterForm):
    """Asks the rules what no constraint can say: circles through parts that serve alike, sets both ways."""

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean() or {}
        old, new = cleaned.get("old"), cleaned.get("new")
        if self.errors or old is None or new is None:
            return cleaned
        try:
            row = Row(
                str(old),
                str(new),
                cleaned["choice"],
                cleaned["quantity"],
                cleaned["both_ways"],
                cleaned["valid_from"],
            )
            others = connected([old.pk, new.pk])
            others.pop(self.instance.pk, None)
            check([*others.values(), row])
        except Refused as refused:
            self.add_error("new", faults(refused))
        return cleaned


class ReplacementInline(MasterInline):
    model = Replacement
    form = ReplacementForm
    fk_name = "old"
    autocomplete_fields = ["new"]
    verbose_name = "replacement of this part"
    verbose_name_plural = "replaced by (rows of one choice number are needed together)"


@admin.register(Replacement)
class ReplacementAdmin(ByPartNumber, MasterAdmin):
    form = ReplacementForm
    to_part = "old__"
    list_display = ["old", "new", "choice", "quantity", "both_ways", "valid_from"]
    list_filter = ["both_ways"]
    list_select_related = ["old__brand", "new__brand"]
    search_fields = ["old__normalised"]
    search_help_text = "number of the old part"
    autocomplete_fields = ["old", "new"]
