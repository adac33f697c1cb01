"""The expected total over what may be found: worked by hand, and against every combination."""

from decimal import Decimal
from fractions import Fraction
from itertools import product
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from estimates.rules.derive import derive
from estimates.rules.diagnosis import ComponentAt, Diagnosis, Evidence, diagnose
from estimates.rules.hidden import weigh
from estimates.rules.plan import Item, Plan
from estimates.rules.workload import workload
from tests import profiles
from tests.rules.estimates.small_engine import ENGINE, ONE, TWO, book, found, operation, risk

NOTHING = Diagnosis({}, (), ())
NO_CIRCLE = operation("thread-repair", "cylinder", None, 45, 40, access=("cover",))


def minutes_of(plan):
    """The price is a unit of money a minute: the mean can then be worked out with a pencil."""
    firm = plan.group("firm")

    def total(keys):
        more = [item for item in plan.items if item.key in keys]
        return Decimal(workload([*firm, *more], plan.steps).minutes)

    return total


def chances(hidden):
    return {one.item.key: one.chance for one in hidden.chances}


def test_a_risk_and_what_may_follow_from_it_weigh_what_they_add():
    # Firm: pipe 12, cover 30, heater 15 = 57. Extracting adds 60 in 5 % of cases, then mending the thread 45
    # in 20 % of those: 57 + 0.05 x 60 + 0.01 x 45 = 60.45.
    plan = derive(book(NO_CIRCLE), [found("heater", ONE)], [])
    hidden = weigh(plan, NOTHING, minutes_of(plan))
    assert hidden.expected == Fraction("60.45")
    assert chances(hidden) == {"heater-extract@1": Fraction("0.05"), "thread-repair@1": Fraction("0.01")}
    assert (hidden.nothing, hidden.exact, hidden.ways) == (Fraction("0.95"), True, 3)


def test_two_that_may_break_share_what_only_the_first_of_them_takes():
    # Each of two heaters breaks in 5 %: none 0.9025, one 0.095 (60 more), both 0.0025 (60 + 50 more).
    plan = derive(book(operation("heater-extract", "cylinder", None, 60, 50)), [found("heater", ONE),
                  found("heater", TWO)], [])  # fmt: skip
    hidden = weigh(plan, NOTHING, minutes_of(plan))
    firm = minutes_of(plan)(())
    assert hidden.expected == Fraction(firm) + Fraction("0.095") * 60 + Fraction("0.0025") * 110
    assert hidden.nothing == Fraction("0.9025")


def test_of_two_suspects_of_one_fault_one_is_found_as_often_as_its_diagnosis_is_likely():
    # Belt and relay lie in one bad path, the belt fails thrice as often: 3/4 and 1/4, never both.
    reading = Evidence(
        "r", "bad", frozenset({ComponentAt("belt", "engine"), ComponentAt("relay", "engine")}), "r"
    )
    likely = {ComponentAt("belt", "engine"): Decimal(3), ComponentAt("relay", "engine"): Decimal(1)}
    plan = derive(book(), [found("belt", ENGINE, "suspected"), found("relay", ENGINE, "suspected")], [])
    hidden = weigh(plan, diagnose([reading], likely), minutes_of(plan))
    assert chances(hidden) == {"belt-replace@engine": Fraction(3, 4), "relay-replace@engine": Fraction(1, 4)}
    assert hidden.nothing == 0
    one, other = (minutes_of(plan)((key,)) for key in ("belt-replace@engine", "relay-replace@engine"))
    assert hidden.expected == Fraction(3, 4) * Fraction(one) + Fraction(1, 4) * Fraction(other)


def test_what_a_person_suspects_without_a_reading_counts_as_one_in_two_and_is_named():
    plan = derive(book(), [found("belt", ENGINE, "suspected")], [])
    (belt,) = weigh(plan, NOTHING, minutes_of(plan)).chances
    assert (belt.chance, belt.weighed) == (Fraction(1, 2), False)


def test_what_a_suspect_s_repair_may_break_arises_only_where_the_suspect_is_found():
    risky = operation(
        "relay-replace", "engine", "relay", 8, 8, risks=(risk("belt-replace", "if torn", "0.2"),)
    )
    plan = derive(book(risky), [found("relay", ENGINE, "suspected")], [])
    assert chances(weigh(plan, NOTHING, minutes_of(plan))) == {
        "relay-replace@engine": Fraction(1, 2),
        "belt-replace@engine": Fraction(1, 10),
    }


def test_the_risk_of_an_option_that_is_not_taken_in_never_strikes():
    findings = [found("heater", ONE, "advisory")]
    left = derive(book(NO_CIRCLE), findings, [])
    taken = derive(book(NO_CIRCLE), findings, [], included={"heater-replace@1"})
    assert weigh(left, NOTHING, minutes_of(left)) is None
    assert chances(weigh(taken, NOTHING, minutes_of(taken)))["heater-extract@1"] == Fraction("0.05")


def test_where_nothing_may_be_hidden_there_is_nothing_to_weigh():
    plan = derive(book(), [found("belt", ENGINE)], [])
    assert weigh(plan, NOTHING, minutes_of(plan)) is None


def test_too_many_ways_are_weighed_in_pieces_and_it_is_said():
    plan = derive(book(NO_CIRCLE), [found("heater", ONE), found("heater", TWO)], [])
    whole, pieces = (weigh(plan, NOTHING, minutes_of(plan), most) for most in (9, 8))
    assert (whole.exact, whole.ways, pieces.exact, pieces.ways) == (True, 9, False, 6)
    assert chances(whole) == chances(pieces)
    assert whole.nothing == pieces.nothing
    # The first of two extractions takes 10 minutes more than the second: apart, that is counted twice.
    assert 0 < pieces.expected - whole.expected <= 10


def random_plan(seed):
    random = Random(seed)
    keys = [f"i{n}" for n in range(random.randint(1, 4))]
    places = [("c", str(n)) for n in range(3)]
    items = [Item("firm", "firm", "", (), ())]
    for key in keys:
        causes = random.sample(["firm", "absent", *keys], random.randint(0, 2))
        odds = tuple((cause, Decimal(random.randint(1, 99)) / 100) for cause in causes if cause != key)
        suspects = tuple(random.sample(places, random.randint(0, 2)))
        items.append(Item(key, "contingent", "", (), (), odds=odds, suspects=suspects))
    paths = [
        frozenset(ComponentAt(*at) for at in random.sample(places, random.randint(1, 2)))
        for _ in range(random.randint(0, 2))
    ]
    evidence = [Evidence(f"r{n}", "bad", path, "r") for n, path in enumerate(paths)]
    likely = {ComponentAt(*at): Decimal(random.randint(1, 9)) for at in places}
    worth = {key: Decimal(random.randint(0, 500)) for key in keys}
    return Plan(tuple(items), {}, (), ()), diagnose(evidence, likely), worth


def by_hand(plan, diagnosis, worth):
    """Every diagnosis of every group with every risk and every suspicion struck or not."""
    contingent = plan.group("contingent")
    accused = {at for group in diagnosis.groups for at in group.components}
    coins = [(i.key, cause, Fraction(p)) for i in contingent for cause, p in i.odds]
    for item in contingent:
        unread = [at for at in item.suspects if ComponentAt(*at) not in accused]
        if unread or not (item.odds or item.suspects):
            coins.append((item.key, "firm", Fraction(1, 2)))
    expected = Fraction(0)
    nothing = Fraction(0)
    for world in product(*(group.diagnoses for group in diagnosis.groups)):
        at_fault = {at for one in world for at in one.components}
        for struck in product([False, True], repeat=len(coins)):
            chance = Fraction(1)
            for one in world:
                chance *= one.weight
            for (_, _, p), yes in zip(coins, struck, strict=True):
                chance *= p if yes else 1 - p
            due = {"firm"} | {
                i.key for i in contingent if any(ComponentAt(*at) in at_fault for at in i.suspects)
            }
            while True:
                grown = due | {key for (key, cause, _), yes in zip(coins, struck, strict=True)
                               if yes and cause in due}  # fmt: skip
                if grown == due:
                    break
                due = grown
            expected += chance * sum((Fraction(worth[key]) for key in due - {"firm"}), Fraction(0))
            nothing += chance if due == {"firm"} else 0
    return expected, nothing


@settings(max_examples=profiles.MANY)
@given(st.integers(0, 2**32))
def test_the_expected_total_is_the_sum_over_every_combination(seed):
    plan, diagnosis, worth = random_plan(seed)

    def total(keys):
        return sum((worth[key] for key in keys), Decimal(0))

    hidden = weigh(plan, diagnosis, total)
    assert (hidden.expected, hidden.nothing) == by_hand(plan, diagnosis, worth)
    # The price here adds up, so weighing in pieces comes to the same.
    pieces = weigh(plan, diagnosis, total, most=max(2, hidden.ways - 1))
    assert pieces is None or (pieces.expected, pieces.nothing) == (hidden.expected, hidden.nothing)
