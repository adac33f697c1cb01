"""What a technician needs at hand while working on an engine family: how each step is done, with which tools,
and the values of the family that belong to it, like a tightening torque."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Q

from catalog.models import AccessStep, ServiceValue
from catalog.spec_cards import SpecCard, specs_of


@dataclass(frozen=True)
class StepNote:
    """How an access step comes off (`instruction`) and back on (`refit`); empty where nothing is said."""

    instruction: str
    refit: str
    tools: str


@dataclass(frozen=True)
class WorkingNotes:
    """By the code of a step or an operation. A value that the specs do not hold is in `missing`, in words."""

    steps: Mapping[str, StepNote]
    step_values: Mapping[str, Sequence[SpecCard]]
    operation_values: Mapping[str, Sequence[SpecCard]]
    missing: Mapping[str, Sequence[str]]


def working_notes(family: str) -> WorkingNotes:
    """Everything on record for the family of this code. Three statements."""
    rows = AccessStep.objects.filter(family__code=family)
    steps = {
        code: StepNote(*texts) for code, *texts in rows.values_list("code", "instruction", "refit", "tools")
    }
    of_family = Q(step__family__code=family) | Q(operation__family__code=family)
    links = ServiceValue.objects.filter(of_family).values_list(
        "step__code", "operation__code", "part_type__code", "part_type__name", "property__code",
        "property__name",
    )  # fmt: skip
    wanted = list(links)
    _, held = specs_of((), family, {part_type for _, _, part_type, *_ in wanted})
    of_steps: dict[str, list[SpecCard]] = defaultdict(list)
    of_operations: dict[str, list[SpecCard]] = defaultdict(list)
    missing: dict[str, list[str]] = defaultdict(list)
    for step, operation, part_type, named, quantity, name in wanted:
        cards = [card for card in held.get(part_type, ()) if card.code == quantity]
        (of_steps[step] if step else of_operations[operation]).extend(cards)
        if not cards:
            missing[step or operation].append(f"{name} of {named}")
    return WorkingNotes(steps, dict(of_steps), dict(of_operations), dict(missing))
