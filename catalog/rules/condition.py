"""The conditions of a rule held against one engine: met, not met, or not known, each with its words.

"Built from 1 March 2014 on" is met by an engine built in 2015, not met by one of 2013, and not known
for one "of 2014". A serial number is compared under the family's serial scheme. If it is missing, or
what was written down cannot be read under the scheme, the condition is not known: a misread number
must not turn into a no. An option is compared without regard to capitals and spacing.

>>> rule = Rule("R1", "GX-1042", "V8-6", "applies", "cylinder", None, 1, date(2014, 3, 1), None, None, None,
...             (("heater_connector", "9-way"),))
>>> facts = UnitFacts("V8-6", DateInterval.from_text("2014"), None, {"heater_connector": "9-WAY"})
>>> [(test.fact, test.truth) for test in tests(rule, facts, None)]
[('built', Truth.UNKNOWN), ('option:heater_connector', Truth.TRUE)]
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import NamedTuple

from catalog.rules.application import Rule, UnitFacts
from catalog.rules.interval import DateInterval, day_text
from catalog.rules.kleene import Truth, known
from catalog.rules.serial import SerialScheme

BUILT, SERIAL, OPTION = "built", "serial", "option:"
# Three things no look at the engine can settle; the catalogue itself has to be mended.
NO_SCHEME, UNREADABLE, BROKEN = "serial scheme", "limits:", "rule:"

_UNKNOWN = Truth.UNKNOWN
_NEVER, _ALWAYS = date.min.toordinal(), date.max.toordinal()


class Tested(NamedTuple):
    """One condition and its answer. `fact` is the key of the fact it asks about. Where the answer is
    not known, `limit` says which values of the fact would meet it: a stretch of whole numbers (days
    counted from year 1, or places of the serial scheme), or one value."""

    fact: str
    truth: Truth
    limit: tuple[int, int] | str = ""


def tests(rule: Rule, facts: UnitFacts, scheme: SerialScheme | None) -> list[Tested]:
    """Every condition of the rule, in the order build date, serial number, options; of a broken rule the
    one that it be put right first."""
    if rule.broken:
        return [Tested(BROKEN + rule.key, _UNKNOWN, rule.polarity)]
    found = []
    first, last = rule.built_from, rule.built_until
    if first is not None or last is not None:
        truth = facts.built.within(first, last)
        found.append(Tested(BUILT, truth, _days(first, last) if truth is _UNKNOWN else ""))
    if rule.serial_from or rule.serial_until:
        found.append(_serial(rule, facts.serial, scheme))
    for name, value in rule.options:
        has = facts.options.get(name)
        if not has or not has.strip():
            found.append(Tested(OPTION + name, _UNKNOWN, same(value)))
        else:
            found.append(Tested(OPTION + name, known(has == value or same(has) == same(value))))
    return found


def same(value: str) -> str:
    """The form in which two spellings of an option value are equal."""
    return " ".join(value.casefold().split())


def domain(fact: str, facts: UnitFacts, scheme: SerialScheme | None) -> tuple[int, int]:
    """First and last whole number a build date or serial number can still be, as in `Tested.limit`."""
    if fact == BUILT:
        return _days(facts.built.earliest, facts.built.latest)
    return (0, scheme.size - 1 if scheme else 0)


def _days(first: date | None, last: date | None) -> tuple[int, int]:
    return (first.toordinal() if first else _NEVER, last.toordinal() if last else _ALWAYS)


def _serial(rule: Rule, serial: str | None, scheme: SerialScheme | None) -> Tested:
    if scheme is None:
        return Tested(NO_SCHEME, _UNKNOWN, f"{rule.serial_from or ''} {rule.serial_until or ''}")
    span = scheme.span(rule.serial_from, rule.serial_until)
    if span is None or span[1] < span[0]:
        # Also a range that runs backwards: the scheme has changed under the rule, or somebody mistyped.
        return Tested(UNREADABLE + rule.key, _UNKNOWN, "met")
    place = scheme.place(serial) if serial else None
    if place is None:
        return Tested(SERIAL, _UNKNOWN, span)
    return Tested(SERIAL, known(span[0] <= place <= span[1]))


def condition_text(rule: Rule, fact: str, names: Mapping[str, str]) -> str:
    """What the rule asks of this fact, to stand behind "engines": "built from 1 March 2014 on"."""
    if fact == BUILT:
        first, last = rule.built_from, rule.built_until
        return "built " + _range(day_text(first) if first else None, day_text(last) if last else None)
    if fact.startswith(OPTION):
        name = fact.removeprefix(OPTION)
        return f"where {option_text(name, names)} is {dict(rule.options)[name]}"
    return "with serial numbers " + _range(rule.serial_from, rule.serial_until)


def limits_fault(rule: Rule, scheme: SerialScheme) -> str:
    """What is wrong with serial limits that the scheme cannot place: a clause about "these limits"."""
    unread = [text for text in (rule.serial_from, rule.serial_until) if text and scheme.place(text) is None]
    if unread:
        shown = " and ".join(f"'{text}'" for text in unread)
        follow = "does not follow" if len(unread) == 1 else "do not follow"
        return f"{shown} {follow} the serial scheme {scheme.key} ({scheme.describe()})"
    return f"they run backwards under the serial scheme {scheme.key}"


def fact_text(
    rule: Rule, facts: UnitFacts, tested: Tested, scheme: SerialScheme | None, names: Mapping[str, str]
) -> str:
    """What is known of this fact: "this one was built in 2013"."""
    fact = tested.fact
    if fact == BUILT:
        return _built_text(facts.built, tested.truth)
    if fact.startswith(OPTION):
        name = fact.removeprefix(OPTION)
        here = option_text(name, names)
        return f"{here} is not known" if tested.truth is _UNKNOWN else f"here it is {facts.options[name]}"
    if fact == NO_SCHEME:
        return "the engine family has no serial scheme to compare them by"
    if fact.startswith(UNREADABLE):
        return f"{limits_fault(rule, scheme)}: correct them" if scheme else "these limits cannot be read"
    if tested.truth is not _UNKNOWN and scheme and facts.serial:
        return f"this one is {scheme.read(facts.serial)}"
    if facts.serial and scheme:
        return f"the number recorded, '{facts.serial}', does not follow the serial scheme {scheme.key}"
    return "the serial number is not known"


def option_text(name: str, names: Mapping[str, str]) -> str:
    """The option's name for people, or its code where it has none."""
    return names.get(name) or f"option {name}"


def _built_text(built: DateInterval, truth: Truth) -> str:
    if not built.is_known:
        return "the build date is not known"
    return f"this one was built {built}" + (", which leaves it open" if truth is _UNKNOWN else "")


def _range(first: str | None, last: str | None) -> str:
    if first and last:
        return f"from {first} to {last}"
    return f"from {first} on" if first else f"up to {last}"
