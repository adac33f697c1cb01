"""A job file: one JSON object that a user writes, checked whole before anything is built from it.

The format is documented in the README. Every fault names the place in the file as it is written there, like
`readings[2], value`.
"""

import json
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from catalog.cards import FamilyCard
from catalog.queries import family_cards
from catalog.service_cards import ServiceBook
from catalog.service_queries import service_book
from estimates.queries import the_workshop
from estimates.rules.byhand_entry import ByHand, by_hand_entries
from estimates.rules.entry import METER, finding_entry, meter_entry, reading_entry
from estimates.rules.factors import factor_entry
from estimates.rules.intake import CustomerIn, FactorIn, JobIn, JudgedIn, ReadingIn
from estimates.rules.plan import Plan
from estimates.rules.unit_entry import unit_entry
from shop.rules.entry import Faults, keys_entry, text_entry
from shop.rules.errors import Fault, Refused

LARGEST = 2_000_000
CUSTOMER = {"number": 20, "address": 500, "email": 254, "phone": 60}


def read_job_file(path: Path, today: date) -> tuple[JobIn, ServiceBook]:
    """The job in `path`, opened `today` unless it says otherwise, with its family's service data.

    Refused with every fault found; nothing is written anywhere.
    """
    return job_from(_json(path), today)


def check_included(job: JobIn, plan: Plan) -> None:
    """Refused where the file takes in an item that this estimate does not have: it would go unnoticed."""
    faults = Faults()
    keys = [item.key for item in plan.items if not item.done]
    for key in sorted(job.included - set(keys)):
        faults.near("include", "item", key, keys)
    faults.refuse()


def _json(path: Path) -> Any:
    try:
        if path.stat().st_size > LARGEST:
            raise Refused.single(path.name, "is larger than 2 MB", "give a job file, one job a file")
        text = path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        reason = error.strerror or "cannot be read"
        raise Refused.single(str(path), reason, "give the path of a job file") from None
    except UnicodeDecodeError as error:
        raise Refused.single(
            path.name, f"byte {error.start} is not UTF-8", "save the file as UTF-8"
        ) from None
    try:
        return json.loads(text, parse_float=Decimal, object_pairs_hook=_once)
    except Refused as refusal:  # a key given twice, found while parsing
        raise Refused(Fault(f"{path.name}, {f.where}", f.what, f.right) for f in refusal.faults) from None
    except json.JSONDecodeError as error:
        raise Refused.single(
            f"{path.name}, line {error.lineno}, column {error.colno}",
            f"is not JSON: {error.msg}",
            "correct it there",
        ) from None
    except RecursionError:
        raise Refused.single(path.name, "is nested too deeply", "write a job file as in the README") from None
    except ValueError as error:
        # Numbers too long to convert; json has nothing to say about where.
        raise Refused.single(path.name, f"is not a job file: {error}", "write plain numbers") from None


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """An object whose keys come once: of two values for one field, one would be lost in silence."""
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise Refused.single(key, "is given twice in one object", "give it once")
        found[key] = value
    return found


def job_from(raw: Any, today: date) -> tuple[JobIn, ServiceBook]:
    """The same from values already parsed. Refused with every fault found."""
    faults = Faults()
    optional = (
        "number", "opened_on", "customer", "meter", "readings", "findings", "include", "factors",
        "lines", "discounts", "payments",
    )  # fmt: skip
    if not keys_entry(raw, "job", ("complaint", "unit"), optional, faults):
        raise Refused(faults)
    complaint = text_entry(raw["complaint"], "complaint", faults, longest=4000, required=True)
    number = text_entry(raw.get("number"), "number", faults, longest=20) or "1"
    family = _family(raw["unit"], faults)
    customer = _customer(raw.get("customer"), faults)
    opened_on = _day(raw.get("opened_on"), today, faults)
    if family is None:
        raise Refused(faults)
    book = service_book(family)
    unit = unit_entry(raw["unit"], "unit", family, faults)
    readings = readings_from(raw, book, faults)
    judged = findings_from(raw.get("findings", []), book, faults)
    included = _included(raw.get("include", []), faults)
    factors = _factors(raw.get("factors", []), book, faults)
    by_hand = _by_hand(raw, today, faults)
    faults.refuse()
    assert unit is not None
    assert customer is not None
    job = JobIn(
        number, opened_on, complaint, customer, unit, readings, judged, included, factors,
        hand_lines=by_hand.lines, discounts=by_hand.discounts, payments=by_hand.payments,
    )  # fmt: skip
    return job, book


def _by_hand(raw: dict[str, Any], today: date, faults: Faults) -> ByHand:
    """What is set on the price; in the workshop's currency, so there has to be a workshop."""
    if not any(name in raw for name in ("lines", "discounts", "payments")):
        return ByHand()
    return by_hand_entries(raw, the_workshop().currency, today, faults)


def _family(raw: Any, faults: Faults) -> FamilyCard | None:
    if not isinstance(raw, dict):
        faults.add("unit", "is not an object", 'write it in braces, {"name": ..., "family": ...}')
        return None
    if "family" not in raw:
        faults.add("unit, family", "is missing", "give the code of the engine family")
        return None
    families = family_cards()
    if not families:
        faults.add(
            "catalogue", "holds no engine family yet", "run 'manage.py demo' or 'manage.py import_pack DIR'"
        )
        return None
    family = families.get(str(raw["family"]))
    if family is None:
        faults.near("unit, family", "engine family", str(raw["family"]), families)
    return family


def _customer(raw: Any, faults: Faults) -> CustomerIn | None:
    if raw is None:
        return CustomerIn("")
    if not keys_entry(raw, "customer", ("name",), tuple(CUSTOMER), faults):
        return None
    name = text_entry(raw["name"], "customer, name", faults, longest=120, required=True)
    rest = {
        key: text_entry(raw.get(key), f"customer, {key}", faults, longest=n) for key, n in CUSTOMER.items()
    }
    return CustomerIn(name, **rest)


def _day(raw: Any, today: date, faults: Faults) -> date:
    if raw is None:
        return today
    try:
        return date.fromisoformat(raw)
    except (TypeError, ValueError):
        faults.add("opened_on", f"{raw!r} is not a day", "write it as 2026-03-31")
        return today


def _list(raw: Any, where: str, faults: Faults) -> list[Any]:
    if isinstance(raw, list):
        return raw
    faults.add(where, "is not a list", "write it in brackets, [...]")
    return []


def readings_from(raw: dict[str, Any], book: ServiceBook, faults: Faults) -> tuple[ReadingIn, ...]:
    """The readings of an object with `readings` and, for all of them, `meter`; faults are added."""
    meter = raw.get("meter", {})
    if not keys_entry(meter, "meter", (), METER, faults) or meter_entry(meter, "meter", faults) is None:
        meter = {}  # its faults are known; one a reading would only repeat them
    found: dict[tuple[str, str], ReadingIn] = {}
    first: dict[tuple[str, str], int] = {}
    for number, entry in enumerate(_list(raw.get("readings", []), "readings", faults)):
        reading = reading_entry(entry, f"readings[{number}]", book, faults, meter)
        if reading is None:
            continue
        key = (reading.key, reading.phase)
        if key in found:
            what = (
                f"{reading.test_point} at {reading.place.label} was already given in readings[{first[key]}]"
            )
            faults.add(f"readings[{number}]", what, "give each reading once")
        found[key] = reading
        first.setdefault(key, number)
    return tuple(found.values())


def findings_from(raw: Any, book: ServiceBook, faults: Faults) -> tuple[JudgedIn, ...]:
    """What a person found, from a list; faults are added."""
    found: dict[tuple[str, str], JudgedIn] = {}
    for number, entry in enumerate(_list(raw, "findings", faults)):
        judged = finding_entry(entry, f"findings[{number}]", book, faults)
        if judged is None:
            continue
        key = (judged.component, judged.place.code)
        if key in found:
            what = f"{judged.component} at {judged.place.label} has a finding already"
            faults.add(f"findings[{number}]", what, "give one finding a component and place")
        found[key] = judged
    return tuple(found.values())


def _included(raw: Any, faults: Faults) -> frozenset[str]:
    entries = _list(raw, "include", faults)
    texts = [
        text_entry(e, f"include[{n}]", faults, longest=160, required=True) for n, e in enumerate(entries)
    ]
    return frozenset(texts)


def _factors(raw: Any, book: ServiceBook, faults: Faults) -> tuple[FactorIn, ...]:
    found: dict[tuple[str, str], FactorIn] = {}
    for number, entry in enumerate(_list(raw, "factors", faults)):
        factor = factor_entry(entry, f"factors[{number}]", book, faults)
        if factor is None:
            continue
        key = (factor.step, factor.place.code if factor.place else "")
        if key in found:
            where = factor.place.label if factor.place else "everywhere"
            faults.add(f"factors[{number}]", f"{factor.step}, {where}, has a factor already", "give it once")
        found[key] = factor
    return tuple(found[key] for key in sorted(found))
