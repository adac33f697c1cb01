"""Parts that serve alike lend one another their applications: by hand, and against trying every engine.

That a part's own listing goes before what a like part is listed for is common practice, no source.
"""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from catalog.rules.fitment import DateInterval, Rule, UnitFacts, judge, sentence
from catalog.rules.interchange import judge_with_interchange, outcome_with_interchange
from catalog.rules.serial import SerialScheme
from tests.rules.catalog import small_world as world

TX = SerialScheme("TX", ("TA",), 3)
LISTED = Rule("A1", "GX-1042", "V8-6", "applies", "cylinder", None, 1, None, None, None, None, ())
OTHER = replace(LISTED, key="B1", part="HB-7")
ENGINE = UnitFacts("V8-6", DateInterval(), None, {})
NINE, FIVE = (("connector", "9-way"),), (("connector", "5-way"),)


def lent(own, facts=ENGINE, **lenders):
    return judge_with_interchange(own, lenders, facts, TX, option_names={"connector": "the connector"})


def engine(**options):
    return UnitFacts("V8-6", DateInterval(), options.pop("serial", None), options)


def test_a_part_without_an_application_fits_where_one_that_serves_alike_does_and_says_whose():
    verdict = lent([], Teal=[replace(LISTED, options=NINE, quantity=2)], facts=engine(connector="9-way"))
    assert (verdict.outcome, verdict.quantity, verdict.by_interchange) == ("fits", 2, ("Teal",))
    assert sentence(verdict) == (
        "It fits: Teal, which serves alike, is listed for engines where the connector is 9-way, "
        "and here it is 9-way."
    )


def test_what_is_lent_can_be_open_and_has_its_phrase():
    verdict = lent([], Teal=[replace(LISTED, options=NINE)])
    assert (verdict.outcome, verdict.by_interchange) == ("cannot tell", ("Teal",))
    assert verdict.fits_if == "fits if the connector is 9-way; tell us the connector"


def test_where_what_is_lent_does_not_fit_it_does_not():
    verdict = lent([], Teal=[replace(LISTED, options=NINE)], facts=engine(connector="5-way"))
    assert (verdict.outcome, verdict.by_interchange) == ("does not fit", ("Teal",))
    assert "Teal, which serves alike, is listed for engines where the connector is 9-way" in sentence(verdict)


def test_its_own_application_goes_before_what_is_lent():
    own = [replace(OTHER, options=FIVE)]
    verdict = lent(own, Teal=[LISTED], facts=engine(connector="9-way"))
    assert (verdict.outcome, verdict.by_interchange) == ("does not fit", ())


def test_an_application_of_its_own_for_another_family_does_not_keep_it_from_borrowing():
    assert lent([replace(OTHER, family="L4-2")], Teal=[LISTED]).outcome == "fits"


def test_its_own_exclusion_takes_away_what_is_lent():
    own = [replace(OTHER, polarity="excludes", options=FIVE)]
    assert lent(own, Teal=[LISTED], facts=engine(connector="5-way")).outcome == "does not fit"
    assert lent(own, Teal=[LISTED], facts=engine(connector="9-way")).outcome == "fits"
    assert lent(own, Teal=[LISTED]).fits_if == "fits unless the connector is 5-way; tell us the connector"


def test_the_exclusion_of_one_lender_takes_nothing_from_another():
    teal = [LISTED, replace(LISTED, key="A2", polarity="excludes")]
    assert lent([], Teal=teal).outcome == "does not fit"
    verdict = lent([], Teal=teal, Umber=[OTHER])
    assert (verdict.outcome, verdict.by_interchange) == ("fits", ("Umber",))


def test_lenders_may_cover_every_engine_between_them():
    early, late = replace(LISTED, serial_until="TA499"), replace(OTHER, serial_from="TA500")
    verdict = lent([], Teal=[early], Umber=[late])
    assert (verdict.outcome, verdict.by_interchange) == ("fits", ("Teal", "Umber"))


def test_without_a_lender_that_is_listed_it_is_as_if_there_were_none():
    barred = [replace(LISTED, polarity="excludes")]
    assert lent([], Teal=barred) == judge([], ENGINE, TX)
    assert lent([]) == judge([], ENGINE, TX)


groups = st.lists(st.lists(world.rules(), max_size=3), max_size=3)


def two_valued(own, members, engine):
    if any(rule.polarity == "applies" for rule in own):
        return world.two_valued(own, engine)
    excluded = any(world.holds(rule, engine) for rule in own)
    return not excluded and any(world.two_valued(member, engine) for member in members)


def keyed(members):
    """Keys of their own, as stored rules have."""
    return {
        f"member {m}": [replace(rule, key=f"M{m}-{n}") for n, rule in enumerate(member)]
        for m, member in enumerate(members)
    }


@given(st.lists(world.rules(), max_size=2), groups, world.knowledge(), st.data())
@settings(max_examples=100)
def test_a_lent_verdict_is_that_of_trying_every_engine_and_never_turns(own, members, facts, data):
    expected = world.by_trying(world.completions(facts), lambda engine: two_valued(own, members, engine))
    verdict = judge_with_interchange(own, keyed(members), facts, world.SCHEME)
    assert verdict.outcome == expected
    assert outcome_with_interchange(own, keyed(members), facts, world.SCHEME) == expected
    assert bool(verdict.fits_if) == bool(verdict.missing) == (expected == "cannot tell")
    later = judge_with_interchange(own, keyed(members), data.draw(world.more_known(facts)), world.SCHEME)
    assert expected in ("cannot tell", later.outcome)
