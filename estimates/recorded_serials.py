"""The engine serial numbers of customers' machines, for whoever wants to change a serial scheme."""

from collections.abc import Collection, Iterator

from catalog.rules.scheme_change import Recorded


def of_units(families: Collection[str]) -> Iterator[Recorded]:
    """Every unit of these families whose serial number is known. One statement."""
    from estimates.models import Unit

    rows = Unit.objects.filter(family__code__in=families).exclude(serial="").order_by("number")
    for number, family, serial in rows.values_list("number", "family__code", "serial").iterator():
        yield Recorded(family, f"machine {number}", serial, serial)
