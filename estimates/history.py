"""What closed jobs say about the minutes on record, read from the rows that technicians wrote down.

It proposes and never changes: whoever looks after the service data decides, in the administration.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from catalog.models import AccessStep, Operation, TestPoint
from estimates.models import ActualTime
from estimates.rules.history import FURTHER, Earlier, Proposal, earlier, propose
from shop.models import Workshop

Json = dict[str, Any]
TEST = "test:"
KINDS = {"operation": "operation", "test": "test", "step": "teardown and refit"}


@dataclass(frozen=True)
class Line:
    """One operation, test or step of a family. `further`: of its further positions. `pk` is the record's own
    key, None where it is no longer on record; then nothing is stated and nothing proposed."""

    family: str
    family_name: str
    kind: str
    code: str
    name: str
    further: bool
    pk: int | None
    stated: int | None
    taken: Earlier
    proposal: Proposal | None

    @property
    def kind_words(self) -> str:
        return KINDS[self.kind]


def history(family: str = "", fewest: int | None = None) -> list[Line]:
    """Every operation, test and step with minutes on closed jobs, by family and code. Four statements, and
    the workshop's own where `fewest` is not given."""
    if fewest is None:
        fewest = fewest_times()
    rows = ActualTime.objects.filter(job__closing__isnull=False, minutes__gt=0)
    if family:
        rows = rows.filter(job__unit__family__code=family)
    minutes: dict[tuple[str, str], list[int]] = {}
    names: dict[str, str] = {}
    for code, called, work, one in rows.order_by("pk").values_list(
        "job__unit__family__code", "job__unit__family__name", "code", "minutes"
    ):
        minutes.setdefault((code, work), []).append(one)
        names[code] = called
    records = _records(set(names))
    found = []
    for (code, work), taken in sorted(minutes.items()):
        bare = work.removeprefix(FURTHER)
        card = records.get((code, bare))
        stated = None if card is None else card["minutes_further" if work != bare else "minutes"]
        past = earlier(work, taken)
        found.append(
            Line(
                code,
                names[code],
                card["kind"] if card else "test" if bare.startswith(TEST) else "operation",
                bare.removeprefix(TEST),
                card["name"] if card else bare,
                work != bare,
                card["id"] if card else None,
                stated,
                past,
                None if stated is None else propose(stated, past, fewest),
            )
        )
    return found


def fewest_times() -> int:
    """How often something was done before other minutes are proposed: the workshop's setting."""
    usual: int = Workshop._meta.get_field("history_fewest").default
    set_to = Workshop.objects.filter(pk=1).values_list("history_fewest", flat=True).first()
    return usual if set_to is None else set_to


def _records(families: set[str]) -> dict[tuple[str, str], Json]:
    """By family and code (tests as test:CODE), what the service data says. Three statements."""
    found: dict[tuple[str, str], Json] = {}
    columns = ("family__code", "id", "code", "name", "minutes")
    for kind, rows in (
        ("operation", Operation.objects.values(*columns, "minutes_further")),
        ("test", TestPoint.objects.values(*columns, "minutes_further")),
        ("step", AccessStep.objects.values(*columns)),
    ):
        for row in rows.filter(family__code__in=families):
            prefix = TEST if kind == "test" else ""
            found.setdefault((row["family__code"], f"{prefix}{row['code']}"), {**row, "kind": kind})
    return found
