"""Serial numbers on record that rest on a family's serial scheme, asked for before the scheme is changed.

The catalogue's own are the limits of applications. Other apps keep serial numbers too, such as those of the
customers' machines; they add where theirs are found to `ALSO`.
"""

from collections.abc import Callable, Collection, Iterator

from catalog.models import Application
from catalog.rules.scheme_change import Recorded

Source = Callable[[Collection[str]], Iterator[Recorded]]
ALSO: list[Source] = []


def recorded(families: Collection[str], but: Collection[tuple[object, ...]] = ()) -> Iterator[Recorded]:
    """Every record of the families with these codes. One statement, and one for each other app.

    `but` names applications to leave out by brand, normalised number, family and ordinal: those that are
    about to be written anew.
    """
    rows = (
        Application.objects.filter(family__code__in=families)
        .exclude(serial_from="", serial_until="")
        .order_by("family__code", "part__brand__code", "part__normalised", "ordinal")
        .values_list(
            "part__brand__code", "part__normalised", "family__code", "ordinal", "part__number",
            "serial_from", "serial_until",
        )
    )  # fmt: skip
    for brand, normalised, family, ordinal, number, first, last in rows.iterator():
        if (brand, normalised, family, ordinal) not in but:
            yield Recorded(family, f"application {brand}/{number} no. {ordinal}", first, last)
    for source in ALSO:
        yield from source(families)
