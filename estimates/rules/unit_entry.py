"""What is known of a unit as a person types it: a date as far as known, a serial number, options.

Empty is unknown and stays unknown. A serial number has to follow the family's scheme, an option has to be one
of the family's, so that a slip of the pen never turns into a part that does not fit.

>>> faults = Faults()
>>> print(built_entry("2014-06", "unit, built", faults))
in June 2014
>>> built_entry("June 2014", "unit, built", faults).is_known, faults[0].right
(False, 'write it as 2014, 2014-06 or 2014-06-03, or leave it empty')
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from catalog.cards import FamilyCard
from catalog.rules.interval import DateInterval
from estimates.rules.intake import UnitIn
from shop.rules.entry import Faults, keys_entry, text_entry
from shop.rules.errors import Fault, Refused

ROAD_USE = ("yes", "no", "unknown")


def unit_entry(raw: Any, where: str, family: FamilyCard, faults: Faults) -> UnitIn | None:
    """What is known of the unit; the family was looked up before. None with faults."""
    optional = ("built", "serial", "options", "road_use", "registration", "vin")
    if not keys_entry(raw, where, ("name", "family"), optional, faults):
        return None
    before = len(faults)
    name = text_entry(raw["name"], f"{where}, name", faults, longest=120, required=True)
    built = built_entry(raw.get("built"), f"{where}, built", faults)
    serial = text_entry(raw.get("serial"), f"{where}, serial", faults, longest=40)
    if serial and family.scheme is not None:
        try:
            family.scheme.parse(serial)
        except Refused as refusal:
            faults += [Fault(f"{where}, serial", fault.what, fault.right) for fault in refusal.faults]
    road_use = raw.get("road_use", "unknown")
    if road_use not in ROAD_USE:
        faults.add(f"{where}, road_use", f"'{road_use}' is none", "say yes, no or unknown")
    options = options_entry(raw.get("options", {}), f"{where}, options", family, faults)
    registration = text_entry(raw.get("registration"), f"{where}, registration", faults, longest=40)
    vin = text_entry(raw.get("vin"), f"{where}, vin", faults, longest=17)
    if len(faults) > before:
        return None
    return UnitIn(name, family.code, built, serial, options, str(road_use), registration, vin)


def built_entry(raw: Any, where: str, faults: Faults) -> DateInterval:
    """A year, a month, a day, or nothing."""
    if isinstance(raw, date):
        return DateInterval(raw, raw)
    if isinstance(raw, int) and not isinstance(raw, bool):
        raw = str(raw)
    try:
        return DateInterval.from_text(text_entry(raw, where, faults, longest=10))
    except Refused as refusal:
        faults += [Fault(where, fault.what, fault.right) for fault in refusal.faults]
        return DateInterval()


def options_entry(raw: Any, where: str, family: FamilyCard, faults: Faults) -> dict[str, str]:
    """Known options of the unit, by option code; empty values are unknown and left out."""
    if not isinstance(raw, Mapping):
        faults.add(where, "is not an object", 'write it in braces, like {"heater-connector": "9-way"}')
        return {}
    taken = {}
    for option, value in raw.items():
        if option not in family.option_values:
            faults.near(f"{where}, {option}", "option", str(option), family.option_values)
        elif value in (None, ""):
            continue
        elif value not in family.option_values[option]:
            faults.near(f"{where}, {option}", "value", str(value), family.option_values[option])
        else:
            taken[option] = str(value)
    return taken
