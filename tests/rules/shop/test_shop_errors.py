"""Refusals carry their faults. No outside source: these are the project's own words."""

import copy
import pickle

import pytest

from shop.rules.errors import Fault, Refused


def test_a_fault_reads_where_then_what_then_right():
    assert str(Fault("price", "is missing", "give an amount")) == "price: is missing; give an amount"


def test_a_single_refusal_carries_one_fault():
    refusal = Refused.single("price", "is missing", "give an amount")
    assert refusal.faults == (Fault("price", "is missing", "give an amount"),)


def test_a_refusal_prints_one_fault_to_a_line():
    refusal = Refused([Fault("a", "b", "c"), Fault("d", "e", "f")])
    assert str(refusal) == "a: b; c\nd: e; f"


def test_a_refusal_is_a_value_error_so_callers_may_catch_either():
    with pytest.raises(ValueError, match="a: b; c"):
        raise Refused.single("a", "b", "c")


def test_a_refusal_without_a_fault_cannot_be_made():
    with pytest.raises(TypeError, match="at least one fault"):
        Refused([])


def test_a_refusal_survives_copying_and_pickling_between_workers():
    refusal = Refused([Fault("a", "b", "c"), Fault("d", "e", "f")])
    assert copy.copy(refusal).faults == refusal.faults
    assert pickle.loads(pickle.dumps(refusal)).faults == refusal.faults
