"""What the page and the API ask of the specs alike: values within a range, told in any unit."""

from decimal import Decimal

from django.db.models import Q

from catalog.models import Property
from catalog.rules.spec_range import Asked, asked_range
from shop.rules.errors import Refused
from shop.rules.units import UNITS, alike, unit


def check_unit(code: str, of: Property | None) -> None:
    """Refused, naming "unit", unless the unit measures what the property does."""
    if of is None:
        raise Refused.single("unit", "values of several properties share no unit", "give property as well")
    if not of.unit:
        raise Refused.single("unit", f"property {of.code} is a text and has no unit", "leave unit out")
    if unit(code).dimension != unit(of.unit).dimension:
        raise Refused.single(
            "unit",
            f"property {of.code} is {unit(of.unit).dimension} in {of.unit} and {code} measures "
            f"{UNITS[code].dimension}",
            f"ask for one of {', '.join(other.code for other in alike(of.unit))}",
        )


def range_asked(of: Property | None, at_least: Decimal | None, at_most: Decimal | None, code: str = "") -> Q:
    """The specs of a property that lie wholly within; bounds in the unit `code`, or the property's own.

    Refused, naming "at_least", "at_most" or "unit", without a property, for a text, and as
    catalog.rules.spec_range.asked_range does.
    """
    if at_least is None and at_most is None:
        return Q()
    where = "at_most" if at_least is None else "at_least"
    if of is None:
        raise Refused.single(
            where,
            "a range needs a property, since values of several properties share no unit",
            "give property as well, such as property=cold-resistance",
        )
    if not of.unit:
        raise Refused.single(
            where, f"property {of.code} is a text and has no range", "filter by text, or leave the range out"
        )
    if code:
        check_unit(code, of)
    return within(asked_range(at_least, at_most, code or of.unit, of.unit))


def within(asked: Asked) -> Q:
    """The condition that catalog.rules.spec_range.lies_within states, for the database."""
    no_limits = Q(minimum__isnull=True, maximum__isnull=True)
    found = Q()
    if asked.at_least is not None:
        found &= Q(minimum__gte=asked.at_least) | (no_limits & Q(nominal__gte=asked.at_least))
    if asked.at_most is not None:
        found &= Q(maximum__lte=asked.at_most) | (no_limits & Q(nominal__lte=asked.at_most))
    return found
