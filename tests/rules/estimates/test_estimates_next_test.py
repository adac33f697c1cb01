"""Which test next: a published example, then small engines gone through fault by fault, then by hand."""

from decimal import Decimal
from fractions import Fraction
from itertools import chain, combinations
from math import log2
from random import Random

import profiles
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog.cards import FamilyCard, PositionCard
from catalog.service_cards import ComponentCard, OperationCard, ServiceBook, TestPointCard
from estimates.rules.derive import derive
from estimates.rules.diagnosis import ComponentAt, Group, WeightedDiagnosis
from estimates.rules.intake import FactorIn, JudgedIn, ReadingIn
from estimates.rules.judging import assess, path_at
from estimates.rules.next_test import next_tests
from estimates.rules.next_test_odds import Odds, bits_told, entropy, uncertainty
from estimates.rules.next_test_settles import Known
from estimates.rules.reading import Measured
from tests.rules.estimates.small_engine import ENGINE, ONE, THREE, TWO, A, D, lamp, resistance
from tests.rules.estimates.small_engine import book as small_book


def lamp_at(code, path, minutes=5, scope="engine"):
    return TestPointCard(
        code, code, scope, "lamp", "", None, None, "on", None, None, None, minutes, minutes, "", tuple(path),
        (), (),
    )  # fmt: skip


def book_of(components, points, operations=(), positions=(ENGINE,)):
    return ServiceBook(
        FamilyCard("x", "X", 1, None, {}, {}, tuple(positions)),
        {card.code: card for card in components},
        {},
        {card.code: card for card in points},
        {card.code: card for card in operations},
        {},
    )


def lit(code, state, place=ENGINE):
    return ReadingIn(code, place, Measured("on" if state else "off"), "lamp")


def advise(book, readings, judged=()):
    return next_tests(book, assess(book, readings, list(judged)), list(judged))


def component(code, likelihood=1, scope="engine"):
    return ComponentCard(code, code, scope, None, Decimal(likelihood))


def at(*codes):
    return frozenset(ComponentAt(code, "engine") for code in codes)


# Three multipliers M1 M2 M3 feed two adders A1 A2; X, Y, Z are the multipliers' outputs, F and G the adders'.
# J. de Kleer, B. C. Williams, "Diagnosing Multiple Faults", Artificial Intelligence 32 (1987) 97-130: with
# F wrong the minimal conflicts are <A1,M1,M2> and <A1,A2,M1,M3>. That X is the place to measure, because it
# tells the two likely single faults apart, that X wrong leaves [M1], and that X right leaves [A1], [M2,M3]
# and [A2,M2] is how the example is told in lectures on the paper (University of Edinburgh, Informatics,
# Knowledge Engineering: "General Diagnostic Engine"). The chance of one fault, 0.01, is the paper's, from
# memory; the figures in bits are computed from it with the paper's formula, by hand below.
POLYBOX = book_of(
    [component(code) for code in ("A1", "A2", "M1", "M2", "M3")],
    [
        lamp_at("F", ("A1", "M1", "M2")),
        lamp_at("F and G", ("A1", "A2", "M1", "M3")),
        *(lamp_at(output, (multiplier,)) for output, multiplier in (("X", "M1"), ("Y", "M2"), ("Z", "M3"))),
    ],
)
F_WRONG = [lit("F", False), lit("F and G", False)]


def test_of_the_polybox_the_output_of_the_first_multiplier_is_measured_next():
    assert [test.card.code for test in advise(POLYBOX, F_WRONG).tests] == ["X", "Y", "Z"]


@pytest.mark.parametrize(
    ("right", "left"), [(False, [("M1",)]), (True, [("A1",), ("A2", "M2"), ("M2", "M3")])]
)
def test_of_the_polybox_each_outcome_leaves_the_candidates_of_the_paper(right, left):
    found = assess(POLYBOX, [*F_WRONG, lit("X", right)], []).diagnosis
    combined = [at()]
    for group in found.groups:
        combined = [done | d.components for done in combined for d in group.diagnoses]
    assert set(combined) == {at(*names) for names in left}


def test_of_the_polybox_the_entropies_are_those_of_one_fault_in_a_hundred():
    # 0.01 x 0.99^4 for a single fault, 0.01^2 x 0.99^3 for a double one, scaled to 1: 0.495 and 0.005.
    single, double = Fraction(99, 200), Fraction(1, 200)
    candidates = ((("A1",), single), (("M1",), single), (("A2", "M2"), double), (("M2", "M3"), double))
    diagnoses = tuple(WeightedDiagnosis(at(*names), weight, 1) for names, weight in candidates)
    groups = [Group(1, at("A1", "A2", "M1", "M2", "M3"), diagnoses, complete=True)]
    told = {m: bits_told(Odds(groups).of_bad(at(m))) for m in ("M1", "M2", "M3")}
    # H(0.495), H(0.01) and H(0.005), where H(p) = - p log2 p - (1 - p) log2 (1 - p).
    assert {m: round(bits, 4) for m, bits in told.items()} == {
        "M1": D("0.9999"), "M2": D("0.0808"), "M3": D("0.0454"),
    }  # fmt: skip


# Every fault set tried


BANK, FIRST, SECOND = (PositionCard("A", "bank", None), *(PositionCard(c, "cylinder", "A") for c in "12"))
SCOPES = ("engine", "bank", "cylinder")


def small_world(seed):
    """An invented engine of two cylinders, readings of some fault on it, and sometimes a person's finding."""
    draw = Random(seed)
    kinds = [component(code, draw.randint(1, 9), draw.choice(SCOPES)) for code in "abc"]
    operations = [
        OperationCard(
            f"fix-{kind.code}", kind.code, draw.choice(SCOPES), kind.code, 1, "", 10, 5, False, (), (), (), ()
        )
        for kind in kinds
        if draw.random() < 0.8
    ]
    points = [
        lamp_at(f"t{n}", draw.sample("abc", draw.randint(1, 3)), draw.randint(0, 9), draw.choice(SCOPES))
        for n in range(draw.randint(2, 4))
    ]
    book = book_of(kinds, points, operations, (ENGINE, BANK, FIRST, SECOND))
    everything = [
        ComponentAt(kind.code, place.code) for kind in kinds for place in book.family.of_scope(kind.scope)
    ]
    faults = frozenset(draw.sample(everything, draw.randint(1, 2)))
    tests = [(card, place) for card in points for place in book.family.of_scope(card.scope)]
    readings = [
        lit(card.code, (not path_at(book, card, place) & faults) ^ (draw.random() < 0.04), place)
        for card, place in draw.sample(tests, draw.randint(0, min(3, len(tests))))
    ]
    judged = []
    if draw.random() < 0.15:
        guess = draw.choice(everything)
        place = book.family.position(guess.position)
        judged = [
            JudgedIn(guess.component, place, draw.choice(["confirmed", "suspected", "advisory"]), 1, "seen")
        ]
    return book, everything, tests, readings, judged


def subsets(items):
    return (frozenset(s) for s in chain.from_iterable(combinations(items, n) for n in range(len(items) + 1)))


def by_every_fault_set(assessment, everything):
    """The minimal sets of faults that agree with every reading, by trying all sets there are."""
    clear = frozenset().union(*(e.path for e in assessment.evidence if e.outcome == "good"))
    bad = [e.path - clear for e in assessment.evidence if e.outcome == "bad" and e.path - clear]
    agreeing = [s for s in subsets(everything) if not s & clear and all(s & path for path in bad)]
    return [s for s in agreeing if not any(other < s for other in agreeing)]


def weighed(sets, likelihood):
    """Each set by the product of its members' likelihoods over all suspects' of its group, as stated."""
    suspects = frozenset().union(*sets)
    total = sum(likelihood[c] for c in suspects)
    weights = {}
    for s in sets:
        weights[s] = 1.0
        for c in s:
            weights[s] *= likelihood[c] / total
    whole = sum(weights.values())
    return {s: weight / whole for s, weight in weights.items()}


def bits(weights):
    whole = sum(weights)
    return -sum(w / whole * log2(w / whole) for w in weights if w)


@settings(max_examples=profiles.PROVEN)
@given(st.integers(0, 2**32))
def test_the_advice_agrees_with_every_fault_set_tried_and_with_the_plan_of_the_estimate(seed):
    book, everything, tests, readings, judged = small_world(seed)
    assessment = assess(book, readings, judged)
    advice = next_tests(book, assessment, judged)
    assert all(a.per_minute >= b.per_minute for a, b in zip(advice.tests, advice.tests[1:], strict=False))
    by_hand = {ComponentAt(one.component, one.place.code): one.standing for one in judged}
    now = Known.of(book, assessment.evidence, by_hand)
    what_is_quoted_is_what_is_planned(book, now, assessment)
    if advice.by_complaint:
        return
    diagnoses = by_every_fault_set(assessment, everything)
    taken = {reading.key for reading in readings}
    paths = {path_at(book, card, place) for card, place in tests if f"{card.code}@{place.code}" not in taken}
    assert bool(advice.tests) == (advice.verdict == "test") == anything_could_change(now, diagnoses, paths)
    if len(assessment.diagnosis.groups) == 1:  # several are weighed each over its own suspects
        likelihood = {c: float(book.components[c.component].likelihood) for c in everything}
        entropies_are_as_tried(advice, weighed(diagnoses, likelihood))


def entropies_are_as_tried(advice, weights):
    before = bits(weights.values())
    assert abs(float(advice.bits) - before) < 1e-6
    for test in advice.tests:
        bad = [w for s, w in weights.items() if s & test.path]
        good = [w for s, w in weights.items() if not s & test.path]
        after = sum(bad) * bits(bad) + sum(good) * bits(good)
        assert abs(float(test.bits) - (before - after)) < 1e-6
        assert abs(float(test.bad.chance) - sum(bad)) < 1e-9
        assert test.good.chance + test.bad.chance == 1


def anything_could_change(now, diagnoses, paths):
    """Whether any outcome of any set of tests, in any of the diagnoses, would have other work quoted."""
    telling = [path for path in paths if len({bool(path & s) for s in diagnoses}) == 2]
    return any(
        now.after([(path, "bad" if path & faults else "good") for path in chosen]).quoted != now.quoted
        for faults in diagnoses
        for chosen in subsets(telling)
    )


def what_is_quoted_is_what_is_planned(book, now, assessment):
    plan = derive(book, assessment.findings, [])
    planned = {(t.operation, t.place.code): item.group for item in plan.items for t in item.tasks}
    operated = {(q.code, q.place.code): g for q, g in now.quoted.items() if q.code in book.operations}
    assert operated == planned
    assert len(now.quoted) - len(operated) == len(plan.unresolved)  # without an operation: said, not quoted


@given(st.lists(st.integers(1, 50), min_size=1, max_size=9))
def test_entropy_is_never_above_that_of_equal_chances_and_never_below_nothing(parts):
    found = entropy(Fraction(part, sum(parts)) for part in parts)
    assert 0 <= found <= Decimal(str(log2(len(parts)))) + Decimal("1e-8")


def test_faults_that_share_no_suspect_multiply_their_chances_of_being_good():
    def pair(number, one, two):
        half = tuple(WeightedDiagnosis(at(name), Fraction(1, 2), number) for name in (one, two))
        return Group(number, at(one, two), half, complete=True)

    groups = [pair(1, "a", "b"), pair(2, "c", "d")]
    assert Odds(groups).of_bad(at("a", "c")) == Fraction(3, 4)
    assert uncertainty(groups) == 2


# The small engine by hand: pipe 12, cover of a bank 30, resistance 5 the first and 2 each further


def ohms(place, value):
    measured = Measured("open") if value == "open" else Measured("number", D(value))
    return ReadingIn("resistance", place, measured, str(value))


DIRECT = resistance("direct", path=("heater",), minutes=5, minutes_further=2)
ON_THE_LEAD = resistance(
    "on the lead", path=("harness",), scope="bank", access=(), minutes=9, minutes_further=9
)
WITH_DIRECT = small_book(test_points=(resistance(), DIRECT, ON_THE_LEAD, lamp()))


def test_a_test_under_a_cover_that_is_off_costs_its_own_minutes_and_another_cover_its_own():
    # 1 open: heater 1 or the harness of bank A. The cover of A is off; the first "direct" takes 5.
    advice = advise(WITH_DIRECT, [ohms(ONE, "open")])
    assert [(test.card.code, test.place, test.minutes, test.opens) for test in advice.tests] == [
        ("resistance", TWO, 2, ()), ("direct", ONE, 5, ()), ("on the lead", A, 9, ()),
    ]  # fmt: skip
    # Measured with the pipe off only, the cover of bank B has to come off for it: 30 + 5.
    closed = small_book(test_points=(resistance(access=("pipe",)), DIRECT, lamp()))
    (_, direct) = advise(closed, [ohms(THREE, "open")]).tests
    assert direct.minutes == 35
    assert [step.key for step in direct.opens] == ["cover@B"]
    assert {(need.part_type, need.quantity) for need in direct.uses} == {("gasket", 1), ("screw", 5)}


def test_teardown_that_is_slower_on_this_job_counts_in_the_minutes_of_a_test():
    closed = small_book(test_points=(resistance(access=("pipe",)), DIRECT, lamp()))
    assessment = assess(closed, [ohms(THREE, "open")], [])
    corroded = FactorIn("cover", None, D("1.5"), "bolts corroded")
    (_, direct) = next_tests(closed, assessment, [], [corroded]).tests
    assert direct.minutes == 30 * 3 // 2 + 5


def test_each_outcome_says_what_it_proves_and_which_repairs_hang_on_it():
    (_, direct, _) = advise(WITH_DIRECT, [ohms(ONE, "open")]).tests
    assert direct.good.text == "At fault: harness (bank A); sound: heater (cylinder 1)."
    assert direct.bad.text == (
        "At fault: heater (cylinder 1); not needed to explain the bad readings: harness (bank A)."
    )
    assert [(q.title, q.place) for q in direct.bad.firm] == [("heater-replace", ONE)]
    assert [(q.title, q.place) for q in direct.bad.dropped] == [("harness-replace", A)]
    assert (direct.good.chance, direct.bits) == (Fraction(1, 2), 1)


def test_places_that_tell_as_much_in_the_same_time_are_named_once():
    (_, lead, _) = advise(WITH_DIRECT, []).tests
    assert (lead.card.code, lead.place) == ("on the lead", A)
    assert [place.code for place in lead.also_at] == ["B"]


def test_with_nothing_bad_the_complaint_is_one_fault_among_all_that_no_good_reading_cleared():
    advice = advise(WITH_DIRECT, [lit("lamp", True)])
    assert advice.by_complaint
    assert "complaint" in advice.reason
    # 4 heaters, 2 harnesses, 2 clips, belt, valve, bracket; the relay is cleared
    assert [suspect.chance for suspect in advice.suspects] == [Fraction(1, 11)] * 11


def test_the_likelihoods_on_record_stand_beside_the_chances_that_rest_on_them():
    book = book_of(
        [component("plug", 40), component("lead", 10)],
        [lamp_at("both", ("plug", "lead")), lamp_at("one", ("plug",))],
    )
    advice = advise(book, [lit("both", False)])
    assert [(s.name, s.chance, s.likelihood) for s in advice.suspects] == [
        ("plug", Fraction(4, 5), 40), ("lead", Fraction(1, 5), 10),
    ]  # fmt: skip


def test_a_finding_by_hand_with_nothing_read_bad_is_enough():
    seen = JudgedIn("belt", ENGINE, "confirmed", 1, "torn")
    advice = advise(WITH_DIRECT, [], [seen])
    assert (advice.verdict, advice.tests, advice.suspects) == ("enough", (), ())


def test_an_advisory_by_hand_does_not_explain_the_complaint():
    seen = JudgedIn("belt", ENGINE, "advisory", 1, "frayed")
    assert advise(WITH_DIRECT, [], [seen]).verdict == "test"


def test_a_fault_confirmed_is_enough_though_other_tests_were_not_taken():
    advice = advise(WITH_DIRECT, [ohms(ONE, "open"), ohms(TWO, "0.60")])
    assert advice.verdict == "enough"
    assert "heater (cylinder 1)" in advice.reason


def test_suspects_that_no_test_tells_apart_are_named():
    advice = advise(small_book(test_points=(resistance(), lamp())), [ohms(ONE, "open"), ohms(TWO, "open")])
    # The other bank's readings tell nothing of this one, so only the harness or both heaters are left.
    assert advice.verdict == "no test left"
    assert "heater (cylinders 1 and 2)" in advice.reason
    assert "found on opening" in advice.reason


def test_readings_that_contradict_each_other_come_before_any_test():
    both = small_book(test_points=(lamp(), lamp("through")))
    advice = advise(both, [lit("lamp", True), lit("through", False)])
    assert (advice.verdict, advice.tests) == ("measure again", ())


def test_a_reading_too_close_to_call_is_not_tried_again_but_named():
    close = ReadingIn(
        "direct", ONE, Measured("number", D("0.89"), accuracy_counts=2, resolution=D("0.01")), "0.89"
    )
    advice = advise(WITH_DIRECT, [ohms(ONE, "open"), close])
    assert [test.card.code for test in advice.tests] == ["resistance", "on the lead"]
    assert advice.again == ("direct, cylinder 1",)
