"""The body of a fitment check, read by hand: shape first, then what it names."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from catalog.cards import FamilyCard
from catalog.rules.interval import DateInterval
from catalog.rules.partnumber import normalise
from shop.rules.errors import Fault, Refused

MOST_CHECKS = 1000
LONGEST = 200
MEMBERS = {"part", "part_type", "family", "position", "built", "serial", "options", "quantity"}
TEXTS = ("part_type", "family", "position", "built", "serial")
PART = {"brand", "number"}


@dataclass(slots=True)  # not frozen: a thousand of them are made at once, and that costs three times as much
class Check:
    """One question. Either `part_key` (brand code, normalised number) or `part_type` is set."""

    index: int
    family: str
    built: DateInterval
    part_key: tuple[str, str] | None = None
    part_shown: str = ""
    part_type: str = ""
    position: str = ""
    serial: str = ""
    options: Mapping[str, str] = field(default_factory=dict)
    quantity: int | None = None

    def unknown(
        self, families: Mapping[str, FamilyCard], parts: Collection[tuple[str, str]], types: Collection[str]
    ) -> Iterator[Fault]:
        """What the catalogue does not know. A misspelt name must not pass for a fact about the engine."""
        family = families.get(self.family)
        if family is not None and self._known(family, parts, types):
            return
        where = f"checks[{self.index}]"
        if self.part_key and self.part_key not in parts:
            yield Fault(f"{where}.part", f"there is no part {self.part_shown}", "look it up under parts/")
        if self.part_type and self.part_type not in types:
            yield Fault(
                f"{where}.part_type",
                f"there is no part type '{self.part_type}'",
                "look it up under part-types/",
            )
        if family is None:
            yield Fault(
                f"{where}.family",
                f"there is no engine family '{self.family}'",
                "look it up under engine-families/",
            )
            return
        if self.position and family.position(self.position) is None:
            known = ", ".join(position.code for position in family.positions)
            yield Fault(
                f"{where}.position", f"{family.code} has no '{self.position}'", f"give one of {known}"
            )
        for name, value in self.options.items():
            yield from _unknown_option(f"{where}.options.{name}", family, name, value)

    def _known(self, family: FamilyCard, parts: Collection[tuple[str, str]], types: Collection[str]) -> bool:
        """The short way for nearly every check: nothing to say."""
        for name, value in self.options.items():
            if value not in family.option_values.get(name, ()):
                return False
        return (
            (not self.part_key or self.part_key in parts)
            and (not self.part_type or self.part_type in types)
            and (not self.position or family.position(self.position) is not None)
        )


def _unknown_option(where: str, family: FamilyCard, name: str, value: str) -> Iterator[Fault]:
    if name not in family.option_names:
        known = ", ".join(family.option_names) or "none: leave options out"
        yield Fault(where, f"{family.code} has no option '{name}'", f"its options are {known}")
    elif value and value not in family.option_values[name]:
        known = ", ".join(family.option_values[name])
        yield Fault(where, f"'{value}' is not one of its values", f"give one of {known}, or leave it empty")


def read_checks(body: Any) -> tuple[list[Check], date | None]:
    """The checks of a body and the day it states, if any. Raises Refused with every fault in it."""
    if not isinstance(body, Mapping):
        raise Refused.single("the body", "it is not a JSON object", 'send {"checks": [...]}')
    faults = [
        Fault(name, "it is not known here", "the members are checks and on")
        for name in body.keys() - {"checks", "on"}
    ]
    items = body.get("checks")
    if not isinstance(items, list) or not 1 <= len(items) <= MOST_CHECKS:
        size = f"it has {len(items)} items" if isinstance(items, list) else "it is not a list"
        raise Refused([*faults, Fault("checks", size, f"give a list of 1 to {MOST_CHECKS} checks")])
    day = _day(body.get("on"), faults)
    checks = [check for index, item in enumerate(items) if (check := _check(index, item, faults))]
    if faults:
        raise Refused(faults)
    return checks, day


def read_question(body: Any) -> tuple[Check, date | None]:
    """A body that is itself one check for a part type, with the day beside it. Raises Refused with every
    fault in it."""
    if not isinstance(body, Mapping):
        raise Refused.single("the body", "it is not a JSON object", 'send {"part_type": ..., "family": ...}')
    faults = [Fault("part", "it is not known here", "give a part_type")] if "part" in body else []
    day = _day(body.get("on"), faults)
    check = _check(0, {name: value for name, value in body.items() if name not in ("on", "part")}, faults)
    if faults or check is None:
        raise Refused(of_one(faults))
    return check, day


def of_one(faults: Iterable[Fault]) -> list[Fault]:
    """Faults of a batch of one, told where they stand in a body that is itself the check."""
    return [
        Fault(fault.where.removeprefix("checks[0]").lstrip(".") or "part_type", fault.what, fault.right)
        for fault in faults
    ]


def _day(value: Any, faults: list[Fault]) -> date | None:
    if value is None:
        return None
    try:
        return date.fromisoformat(value)
    except (TypeError, ValueError):
        faults.append(
            Fault("on", f"{value!r} is not a day", "write it as 2014-06-03, or leave it out for today")
        )
        return None


def _check(index: int, item: Any, faults: list[Fault]) -> Check | None:
    where = f"checks[{index}]"
    if not isinstance(item, Mapping):
        faults.append(
            Fault(where, "it is not a JSON object", "give an object with part or part_type, and family")
        )
        return None
    before = len(faults)
    for name in () if item.keys() <= MEMBERS else sorted(item.keys() - MEMBERS):
        faults.append(
            Fault(f"{where}.{name}", "it is not known here", f"the members are {', '.join(sorted(MEMBERS))}")
        )
    text = dict.fromkeys(TEXTS, "")
    for name in TEXTS:
        if (value := item.get(name)) is not None:
            text[name] = _text(where, name, value, faults)
    if item.get("family") in (None, ""):
        faults.append(Fault(f"{where}.family", "it is missing", "give the code of the engine family"))
    key, shown = _part(where, item.get("part"), faults)
    if (item.get("part") is None) == (not text["part_type"]):
        faults.append(
            Fault(
                where, "it must name a part or a part type, one of the two", "give either part or part_type"
            )
        )
    built = _built(where, text["built"], faults)
    options = _options(where, item.get("options"), faults)
    quantity = _quantity(f"{where}.quantity", item.get("quantity"), faults)
    if len(faults) > before:
        return None
    return Check(
        index,
        text["family"],
        built,
        key,
        shown,
        text["part_type"],
        text["position"],
        text["serial"],
        options,
        quantity,
    )


def _text(where: str, name: str, value: Any, faults: list[Fault]) -> str:
    """The text of a member; "" where there is none. Nearly every one is in order: where it stands is only put
    together for one that is not."""
    if value is None:
        return ""
    if type(value) is str and len(value) <= LONGEST and value.isprintable():
        return value.strip()
    where = f"{where}.{name}"
    if not isinstance(value, str):
        faults.append(Fault(where, f"{_shown(value)} is not text", "give a text in quotes"))
    else:
        what = "it is too long or has unprintable characters in it"
        faults.append(Fault(where, what, f"give up to {LONGEST} letters"))
    return ""


def _shown(value: Any) -> str:
    """What was sent, in short: nobody needs a list of a thousand items back."""
    if isinstance(value, list | Mapping):
        return "a list" if isinstance(value, list) else "an object"
    return f"{value!r:.40}"


def _part(where: str, value: Any, faults: list[Fault]) -> tuple[tuple[str, str] | None, str]:
    if value is None:
        return None, ""
    if not isinstance(value, Mapping) or value.keys() != PART:
        faults.append(
            Fault(f"{where}.part", "it is not a brand and a number", 'give {"brand": ..., "number": ...}')
        )
        return None, ""
    before = len(faults)
    brand = _text(where, "part.brand", value["brand"], faults)
    number = _text(where, "part.number", value["number"], faults)
    if len(faults) > before:
        return None, ""
    try:
        return (brand, normalise(number)), f"{brand} {number}"
    except Refused as error:
        faults += [Fault(f"{where}.part.number", fault.what, fault.right) for fault in error.faults]
        return None, ""


def _built(where: str, text: str, faults: list[Fault]) -> DateInterval:
    try:
        return DateInterval.from_text(text)
    except Refused as error:
        faults += [Fault(f"{where}.built", fault.what, fault.right) for fault in error.faults]
        return DateInterval(None, None)


def _options(where: str, value: Any, faults: list[Fault]) -> dict[str, str]:
    if value is None:
        return {}
    if not isinstance(value, Mapping):
        what = "it is not a JSON object"
        faults.append(Fault(f"{where}.options", what, "give option codes with their values"))
        return {}
    read = {}
    for name, inside in value.items():
        if told := _text(where, f"options.{name}", inside, faults):
            read[str(name)] = told
    return read


def _quantity(where: str, value: Any, faults: list[Fault]) -> int | None:
    if value is None or (isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= 10_000):
        return value
    faults.append(
        Fault(where, f"{_shown(value)} is not a number of pieces", "give a whole number from 1 to 10000")
    )
    return None
