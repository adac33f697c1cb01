"""Which parts would answer a need at one place: those that fit, else those of which it cannot be told yet.

A part that was replaced is bought as what replaced it. A part without an application of its own fits where
one that serves alike with it does (catalog.rules.interchange), and the estimate says so. What a replaced
part is bought as may be kept off the engine by rules of its own; one that was only found because it serves
alike has none, and is not doubted as a successor.

>>> from catalog.cards import PositionCard
>>> from catalog.rules.fitment import Rule
>>> from catalog.rules.interval import DateInterval
>>> listed, alike = (PartCard(n, "b", "Brand", f"B-{n}", "clip", "clip", "", "original") for n in (1, 2))
>>> rule = Rule("R", "B-1", "i1", "applies", "engine", None, 1, None, None, None, None, ())
>>> own, lent = Candidate(listed, (rule,)), Candidate(alike, (), {"Brand B-1": (rule,)})
>>> engine = PositionCard("engine", "engine", None)
>>> family = FamilyCard("i1", "Single", 1, None, {}, {}, (engine,))
>>> market = Market({"clip": (own, lent)}, {}, {1: listed, 2: alike}, {})
>>> asked = Asked(market, UnitFacts("i1", DateInterval(), None, {}), family)
>>> found = choose(NeedAt("clip", "clip", 2, engine, "required"), asked)
>>> found.bundles
(((1, 1),), ((2, 1),))
>>> serves_like(((2, 1),), [NeedAt("clip", "clip", 2, engine, "required")], asked)
'serves like Brand B-1, which fits'
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from catalog.cards import Candidate, FamilyCard, OfferCard, PartCard, PositionCard
from catalog.rules.fitment import Outcome, UnitFacts, Verdict, outcome
from catalog.rules.interchange import judge_with_interchange, outcome_with_interchange
from catalog.rules.verdict import listed
from estimates.rules.plan import NeedAt

Bundle = tuple[tuple[int, int], ...]
"""(part id, pieces of it) that together stand for one piece of what is needed."""


@dataclass(frozen=True, slots=True)
class Market:
    """What the catalogue says about the needed part types on one day.

    `candidates` by part type; `offers` by part id, all valid; `parts` by id; `successors` by part id: what
    the part is bought as today, empty or absent where it stands for itself. `shelf` by part id: the pieces
    the shop holds itself, and what was paid for one. Offers of blocked suppliers say so; they only explain.
    """

    candidates: Mapping[str, Sequence[Candidate]]
    offers: Mapping[int, Sequence[OfferCard]]
    parts: Mapping[int, PartCard]
    successors: Mapping[int, Sequence[Bundle]]
    shelf: Mapping[int, tuple[int, OfferCard]] = field(default_factory=dict)

    def bought_as(self, part: int) -> Sequence[Bundle]:
        return self.successors.get(part) or (((part, 1),),)


@dataclass(frozen=True, slots=True)
class Asked:
    """The market, and the engine asked about."""

    market: Market
    facts: UnitFacts
    family: FamilyCard

    def outcome(self, candidate: Candidate, place: PositionCard) -> Outcome:
        return outcome_with_interchange(
            candidate.rules,
            candidate.lenders,
            self.facts,
            self.family.scheme,
            place.code,
            place.scope,
            self.family.bank_of,
        )

    def judge(self, candidate: Candidate, place: PositionCard) -> Verdict:
        family = self.family
        return judge_with_interchange(
            candidate.rules,
            candidate.lenders,
            self.facts,
            family.scheme,
            place.code,
            place.scope,
            family.option_names,
            family.bank_of,
        )


@dataclass(frozen=True, slots=True)
class Choice:
    """Bundles that would answer a need; places with equal ones are bought together, whatever the words."""

    bundles: tuple[Bundle, ...]
    to_confirm: str
    problem: str


def choose(need: NeedAt, asked: Asked) -> Choice:
    """What would answer the need at its place; `to_confirm` names the missing facts where none is known to,
    `problem` says that nothing does."""
    place, market = need.place, asked.market
    known = {candidate.part.id: candidate for candidate in market.candidates.get(need.part_type, ())}
    bare = {part: asked.outcome(candidate, place) for part, candidate in known.items()}
    fitting: set[Bundle] = set()
    open_ones: dict[Bundle, list[int]] = {}
    for part in known:
        for bundle in market.bought_as(part):
            told = {one: bare[one] for one in _told_by(part, bundle, known)}
            if all(answer == "fits" for answer in told.values()):
                fitting.add(bundle)
            elif "does not fit" not in told.values():
                open_ones.setdefault(bundle, [one for one, answer in told.items() if answer == "cannot tell"])
    if fitting:
        return Choice(tuple(sorted(fitting)), "", "")
    if not open_ones:
        engine = f"{place.label} of this {asked.family.name}"
        return Choice((), "", f"no {need.type_name} in the catalogue fits {engine}")
    doubted = dict.fromkeys(part for parts in open_ones.values() for part in parts)
    missing = dict.fromkeys(fact.text for part in doubted for fact in asked.judge(known[part], place).missing)
    return Choice(tuple(sorted(open_ones)), " and ".join(missing), "")


def _told_by(part: int, bundle: Bundle, known: Mapping[int, Candidate]) -> Iterator[int]:
    """The part, and of what it is bought as whatever has rules of its own."""
    yield part
    yield from (one for one, _ in bundle if one != part and one in known and known[one].rules)


def serves_like(bundle: Bundle, needs: Iterable[NeedAt], asked: Asked) -> str:
    """Whose fitment the bundle rests on, as a clause: "serves like Orlin A1, which fits". Empty where the
    applications of its own parts, or of a part it replaced, carry it at each of these needs."""
    clauses = dict.fromkeys(clause for need in needs if (clause := _lent(bundle, need, asked)))
    return "; ".join(clauses)


def _lent(bundle: Bundle, need: NeedAt, asked: Asked) -> str:
    market = asked.market
    leading = [
        candidate
        for candidate in market.candidates.get(need.part_type, ())
        if bundle in market.bought_as(candidate.part.id)
    ]
    if not any(candidate.lenders for candidate in leading):
        return ""
    verdicts = [(candidate, asked.judge(candidate, need.place)) for candidate in leading]
    best = "fits" if any(verdict.outcome == "fits" for _, verdict in verdicts) else "cannot tell"
    standing = [(candidate, verdict) for candidate, verdict in verdicts if verdict.outcome == best]
    if not standing or not all(verdict.by_interchange for _, verdict in standing):
        return ""
    bought = {part for part, _ in bundle}
    candidate, verdict = min(standing, key=lambda one: one[0].part.id not in bought)
    before = "" if candidate.part.id in bought else f"replaces {candidate.part.label}, which "
    return f"{before}serves like {_lenders(candidate, verdict, need.place, asked)}"


def _lenders(candidate: Candidate, verdict: Verdict, place: PositionCard, asked: Asked) -> str:
    """Those whose own fitment settles it; all that count where none does alone."""
    names = verdict.by_interchange
    if verdict.outcome != "fits":
        return listed(names)
    family = asked.family
    sure = [
        name
        for name in names
        if outcome(
            candidate.lenders[name], asked.facts, family.scheme, place.code, place.scope, family.bank_of
        )
        == "fits"
    ]
    if not sure:
        return f"{listed(names)}, one of which fits in any case"
    return f"{listed(sure)}, which {'fits' if len(sure) == 1 else 'fit'}"
