"""Candidates with the parts that serve alike with them: a group's applications hold for all its members."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from catalog.cards import Candidate, PartCard
from catalog.hot.alike import alike_with
from catalog.rules.interchange import lends


def with_alike(found: Mapping[str, Sequence[Candidate]], family: str) -> dict[str, tuple[Candidate, ...]]:
    """By part type, these candidates and every other member of their interchange groups that is of the type.
    One without an application of its own for the family has its lenders. One statement."""
    groups = alike_with([candidate.part.id for of_type in found.values() for candidate in of_type])
    return {code: _joined(code, of_type, groups, family) for code, of_type in found.items()}


def _joined(
    code: str, of_type: Sequence[Candidate], groups: Mapping[int, tuple[PartCard, ...]], family: str
) -> tuple[Candidate, ...]:
    own = {candidate.part.id: candidate for candidate in of_type}
    for part in tuple(own):
        for other in groups.get(part, ()):
            if other.part_type == code:
                own.setdefault(other.id, Candidate(other, ()))
    return tuple(
        candidate
        if candidate.part.id not in groups or lends(candidate.rules, family)
        else replace(
            candidate,
            lenders={
                other.label: own[other.id].rules
                for other in groups[candidate.part.id]
                if other.id in own and lends(own[other.id].rules, family)
            },
        )
        for candidate in own.values()
    )
