"""Which parts of a type fit this engine, with the cheapest offer of each, as one would write it by hand.

Two statements: the rules, then the offers of those parts alone that fit. Joined into one, the offers come
once for every rule of a part: that was no faster on PostgreSQL and far slower on SQLite. Rules are decided
row by row as they come, with comparisons of texts and dates: a serial number here is two letters and six
figures, so texts in order are numbers in order. Nothing is said about why.
"""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from bare import Bare
from questions import DAY, Question

RULES = """
SELECT a.part_id, b.code, b.name, p.number, p.grade, p.list_price, a.polarity, a.scope, c.code, a.quantity,
    a.built_from, a.built_until, a.serial_from, a.serial_until, e.code, x.value, m.group_id, a.id
FROM catalog_application a
JOIN catalog_part p ON p.id = a.part_id
JOIN catalog_brand b ON b.id = p.brand_id
LEFT JOIN catalog_position c ON c.id = a.position_id
LEFT JOIN catalog_applicationoption x ON x.application_id = a.id
LEFT JOIN catalog_engineoption e ON e.id = x.option_id
LEFT JOIN catalog_interchangemember m ON m.part_id = a.part_id
WHERE a.family_id = (SELECT id FROM catalog_enginefamily WHERE code = {one})
    AND a.part_type_id = (SELECT id FROM catalog_parttype WHERE code = {one})
"""
OFFERS = """
SELECT o.part_id, s.code, s.currency, o.price, o.pack, o.minimum_quantity, o.lead_days, o.valid_from,
    k.quantity_from, k.price, o.id
FROM catalog_offer o JOIN catalog_supplier s ON s.id = o.supplier_id
LEFT JOIN catalog_pricebreak k ON k.offer_id = o.id
WHERE o.part_id {many} AND NOT s.blocked AND o.valid_from <= {one}
    AND (o.valid_until IS NULL OR o.valid_until >= {one})
"""
ALIKE = "SELECT part_id, group_id FROM catalog_interchangemember WHERE group_id {many}"
TRUE, UNKNOWN, FALSE = 1, 0, -1


class FitsBare:
    def __init__(self, bare: Bare) -> None:
        self.bare = bare
        words = {"one": "?", "many": "IN (SELECT value FROM json_each(?))"}
        if not bare.sqlite:
            words = {"one": "%s", "many": "= ANY(%s)"}
        self.rules, self.offers, self.alike = (sql.format(**words) for sql in (RULES, OFFERS, ALIKE))
        self.day: Any = DAY if bare.sqlite else date.fromisoformat(DAY)

    def __call__(self, question: Question) -> tuple[dict[int, Any], set[int]]:
        """By part that fits, the least cost by currency; and the parts of which it cannot be told."""
        verdicts = self.verdicts(question)
        fits = [part for part, truth in verdicts.items() if truth == TRUE]
        return self.cheapest(fits), {part for part, truth in verdicts.items() if truth == UNKNOWN}

    def verdicts(self, question: Question) -> dict[int, int]:
        applies: dict[int, int] = {}
        excludes: dict[int, int] = {}
        groups: dict[int, int] = {}
        first, last = span(question.built, self.bare.sqlite)
        for row in self.bare.rows(self.rules, (question.family, question.part_type)):
            part = row[0]
            truth = held(row[10:16], first, last, question)
            side = applies if row[6] == "applies" else excludes
            side[part] = max(side.get(part, FALSE), truth)
            if row[16]:
                groups[part] = row[16]
        lent = self.lent(applies, groups) if groups else applies
        return {part: min(truth, -excludes.get(part, FALSE)) for part, truth in lent.items()}

    def lent(self, applies: dict[int, int], groups: dict[int, int]) -> dict[int, int]:
        best: dict[int, int] = {}
        for part, group in groups.items():
            if part in applies:
                best[group] = max(best.get(group, FALSE), applies[part])
        members = self.bare.rows(self.alike, (list(set(groups.values())),))
        return {**{part: best[group] for part, group in members if group in best}, **applies}

    def cheapest(self, parts: list[int]) -> dict[int, Any]:
        newest: dict[tuple[int, str], Any] = {}
        breaks: dict[int, Any] = {}
        for row in self.bare.rows(self.offers, (parts, self.day, self.day)):
            held = newest.get(row[:2])
            if held is None or held[7] < row[7]:
                newest[row[:2]] = row
            if row[8] is not None:
                breaks.setdefault(row[10], []).append(row[8:10])
        found: dict[int, Any] = {part: {} for part in parts}
        for (part, _), row in newest.items():
            pieces = -(-max(1, row[5]) // row[4]) * row[4]
            price = row[3]
            for quantity, less in sorted(breaks.get(row[10], ())):
                price = less if quantity <= pieces else price
            cost = (price if isinstance(price, Decimal) else Decimal(str(price))) * pieces
            costs = found[part]
            if row[2] not in costs or cost < costs[row[2]]:
                costs[row[2]] = cost
        return found


def span(built: str, texts: bool) -> tuple[Any, Any]:
    first, last = (built, built) if len(built) == 10 else (f"{built}-01-01", f"{built}-12-31")
    return (first, last) if texts else (date.fromisoformat(first), date.fromisoformat(last))


def held(limits: Iterable[Any], first: Any, last: Any, question: Question) -> int:
    """Kleene's three values: the least of the conditions."""
    since, until, serial_from, serial_until, option, value = limits
    truth = TRUE
    if since is not None or until is not None:
        if (since is not None and last < since) or (until is not None and until < first):
            return FALSE
        if (since is not None and first < since) or (until is not None and until < last):
            truth = UNKNOWN
    if serial_from or serial_until:
        serial = question.serial
        if not serial:
            truth = UNKNOWN
        elif (serial_from and serial < serial_from) or (serial_until and serial_until < serial):
            return FALSE
    if option is not None:
        has = question.options.get(option)
        if has is None:
            truth = UNKNOWN
        elif has != value:
            return FALSE
    return truth
