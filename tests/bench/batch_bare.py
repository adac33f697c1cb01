"""A thousand fitment checks as one would write them by hand: the rows of all of them in three statements,
each check decided with comparisons. The words of the reasons, the facts still to find out and what they
depend on are not worked out on this side; the answer is the outcome, the quantity and the current parts."""

import json
from collections import defaultdict
from typing import Any

from bare import Bare
from fits_bare import FALSE, TRUE, UNKNOWN, held, span
from questions import Question

PAIRS = {
    True: "(SELECT json_extract(value, '$[0]') brand, json_extract(value, '$[1]') number, "
    "json_extract(value, '$[2]') family FROM json_each(?)) q CROSS JOIN catalog_brand b ON b.code = q.brand "
    "CROSS JOIN catalog_part p ON p.brand_id = b.id AND p.normalised = q.number "
    "CROSS JOIN catalog_enginefamily f ON f.code = q.family "
    "LEFT JOIN catalog_application a ON a.part_id = p.id AND a.family_id = f.id",
    False: "unnest(%s::text[], %s::text[], %s::text[]) q(brand, number, family) "
    "JOIN catalog_brand b ON b.code = q.brand "
    "JOIN catalog_part p ON p.brand_id = b.id AND p.normalised = q.number "
    "JOIN catalog_enginefamily f ON f.code = q.family LEFT JOIN LATERAL (SELECT * FROM catalog_application "
    "WHERE part_id = p.id AND family_id = f.id OFFSET 0) a ON true",
}
RULES = """
SELECT p.id, q.family, a.polarity, a.quantity, a.scope, c.code, a.built_from, a.built_until, a.serial_from,
    a.serial_until, e.code, x.value, p.number, b.code, q.number
FROM {pairs}
LEFT JOIN catalog_position c ON c.id = a.position_id
LEFT JOIN catalog_applicationoption x ON x.application_id = a.id
LEFT JOIN catalog_engineoption e ON e.id = x.option_id
"""
REPLACED = {
    True: "SELECT r.old_id, r.new_id, r.quantity, p.number, b.code FROM catalog_replacement r "
    "JOIN catalog_part p ON p.id = r.new_id JOIN catalog_brand b ON b.id = p.brand_id "
    "WHERE r.old_id IN (SELECT value FROM json_each(?))",
    False: "SELECT r.old_id, r.new_id, r.quantity, p.number, b.code FROM catalog_replacement r "
    "JOIN catalog_part p ON p.id = r.new_id JOIN catalog_brand b ON b.id = p.brand_id "
    "WHERE r.old_id = ANY(%s)",
}
OUTCOMES = {TRUE: "fits", UNKNOWN: "cannot tell", FALSE: "does not fit"}


def batch(bare: Bare, sent: bytes) -> bytes:
    checks = json.loads(sent)["checks"]
    keys = [(c["part"]["brand"], normalised(c["part"]["number"]), c["family"]) for c in checks]
    sql = RULES.format(pairs=PAIRS[bare.sqlite])
    rows: dict[Any, list[Any]] = defaultdict(list)
    columns = [keys] if bare.sqlite else [list(column) for column in zip(*keys, strict=True)]
    for row in bare.rows(sql, columns):
        rows[row[13], row[14], row[1]].append(row)
    follow: dict[int, list[Any]] = defaultdict(list)
    waiting = {of_key[0][0] for of_key in rows.values()}
    while waiting:
        found = bare.rows(REPLACED[bare.sqlite], [list(waiting)])
        waiting = {row[1] for row in found} - follow.keys()
        for row in found:
            follow[row[0]].append(row)
    return json.dumps({"results": [told(c, rows[key], follow, bare.sqlite)
                                   for c, key in zip(checks, keys, strict=True)]}).encode()  # fmt: skip


def normalised(number: str) -> str:
    return number.upper().replace("-", "").replace("/", "").replace(" ", "").replace(".", "")


def told(check: Any, rows: list[Any], follow: dict[int, list[Any]], texts: bool) -> dict[str, Any]:
    question = Question(check["family"], "", check["built"], check["serial"], check["options"])
    first, last = span(question.built, texts)
    applies = excludes = FALSE
    quantities = set()
    for row in rows:
        if row[2] is None:
            continue
        truth = held(row[6:12], first, last, question)
        if row[2] == "applies":
            applies = max(applies, truth)
            if truth != FALSE:
                quantities.add(row[3])
        else:
            excludes = max(excludes, truth)
    verdict = OUTCOMES[min(applies, -excludes)]
    ways = []
    at = rows[0][0]
    while at in follow:
        step = follow[at][0]
        ways = [{"brand": step[4], "number": step[3], "quantity": step[2]}]
        at = step[1]
    return {
        "part": {"brand": rows[0][13], "number": rows[0][12]},
        "verdict": verdict,
        "quantity": quantities.pop() if verdict == "fits" and len(quantities) == 1 else None,
        "replaced_by": ways,
    }
