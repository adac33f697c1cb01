"""One part by what a person or a program calls it: "brand/number", the number in any spelling."""

from catalog.models import Brand, Part
from catalog.rules.nearnumber import one_slip_away
from catalog.rules.partnumber import comparable
from shop.rules.errors import Refused

MOST_NEAR = 5
PREFIX_AT_LEAST = 3


def parts_called(text: str) -> list[Part]:
    """Every part that `text` may mean, with its brand and its type; empty where there is none.

    "brand/number" (the brand by code or name) means one, a number alone every brand's part of that number.
    """
    rows = Part.objects.select_related("brand", "part_type").order_by("brand__code")
    brand, _, number = text.partition("/")
    if comparable(number):
        of = _brand(brand.strip())
        if of is not None:
            return list(rows.filter(brand=of, normalised=comparable(number)))
    # A number may have a slash of its own in it.
    return list(rows.filter(normalised=comparable(text))) if comparable(text) else []


def part_named(text: str, where: str) -> Part:
    """The one part meant. Refused, naming `where`, for none (told are the near ones) or for several."""
    found = parts_called(text)
    if len(found) == 1:
        return found[0]
    if found:
        raise Refused.single(
            where,
            f"'{text}' is a number of {len(found)} brands",
            f"give one of {', '.join(map(spelt, found))}",
        )
    near = parts_near(text)
    raise Refused.single(
        where,
        f"there is no part '{text}'",
        f"did you mean {' or '.join(map(spelt, near))}"
        if near
        else "look its brand and number up in the list of parts",
    )


def parts_near(text: str) -> list[Part]:
    """Parts whose number begins like this one or is one slip of the finger away, of the brand named first."""
    brand, _, number = text.partition("/")
    of = _brand(brand.strip())
    wanted = comparable(number) if of is not None else comparable(text)
    if not wanted:
        return []
    rows = Part.objects.select_related("brand").order_by("normalised", "brand__code")
    near = list(rows.filter(normalised__in={wanted, *one_slip_away(wanted)})[:MOST_NEAR])
    if len(near) < MOST_NEAR and len(wanted) >= PREFIX_AT_LEAST:
        known = {part.pk for part in near}
        near += [p for p in rows.filter(normalised__startswith=wanted)[:MOST_NEAR] if p.pk not in known]
    near.sort(key=lambda part: part.brand_id != (of.pk if of else None))
    return near[:MOST_NEAR]


def spelt(part: Part) -> str:
    """As it is asked for: "drovemere/58-1036-A"."""
    return f"{part.brand.code}/{part.number}"


def _brand(text: str) -> Brand | None:
    if not text or "\x00" in text:
        return None
    return Brand.objects.filter(code=text.lower()).first() or Brand.objects.filter(name__iexact=text).first()
