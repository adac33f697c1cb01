"""The solver: HiGHS finds the whole-number answer to a program and proves that none is better.

It computes in floating point, so nothing it says is taken on trust: its values are rounded to whole numbers,
every row is checked again in whole numbers, and the cost is worked out anew from them.

Packs of five cost 5, packs of three 3; the cheapest that hold eleven: one of five, two of three.

>>> minimum([5, 3], [9, 9], [(11, None, [(0, 5), (1, 3)])])
[1, 2]
>>> minimum([1], [1], [(2, None, [(0, 1)])]) is None
True
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

Rows = Sequence[tuple[int | None, int | None, Sequence[tuple[int, int]]]]
_modules: list[Any] = []


class Unproven(RuntimeError):
    """The solver stopped without a proof, or its answer does not hold in whole numbers."""


def minimum(cost: Sequence[int], upper: Sequence[int], rows: Rows) -> list[int] | None:
    """Whole values from 0 to `upper` that keep every row (least, most, terms) at the least cost.

    None where nothing keeps every row. Raises Unproven where the answer cannot be vouched for.
    """
    if any(_impossible(row) for row in rows):
        return None
    values = run(model_of(cost, upper, rows))
    if values is not None and not all(_holds(row, values) for row in rows):
        raise Unproven("the solver's answer does not hold in whole numbers")
    return values


def model_of(cost: Sequence[int], upper: Sequence[int], rows: Rows) -> Any:
    """The program in the solver's own form."""
    highs, numpy = _loaded()
    model = highs.HighsLp()
    model.num_col_, model.num_row_ = len(upper), len(rows)
    model.col_cost_ = numpy.array(cost, dtype=float)
    model.col_lower_ = numpy.zeros(len(upper))
    model.col_upper_ = numpy.array(upper, dtype=float)
    infinite = highs.kHighsInf
    model.row_lower_ = numpy.array([-infinite if low is None else low for low, _, _ in rows], dtype=float)
    model.row_upper_ = numpy.array([infinite if high is None else high for _, high, _ in rows], dtype=float)
    terms = [term for _, _, row in rows for term in row]
    starts = [0]
    for _, _, row in rows:
        starts.append(starts[-1] + len(row))
    matrix = model.a_matrix_
    matrix.format_ = highs.MatrixFormat.kRowwise
    matrix.start_ = numpy.array(starts, dtype=numpy.int32)
    matrix.index_ = numpy.array([column for column, _ in terms], dtype=numpy.int32)
    matrix.value_ = numpy.array([factor for _, factor in terms], dtype=float)
    model.integrality_ = [highs.HighsVarType.kInteger] * len(upper)
    return model


def run(model: Any) -> list[int] | None:
    """The solver's answer in whole numbers, None where there is none."""
    highs, _ = _loaded()
    # The class below Highs: the constructor of Highs itself switches callbacks on, which nothing here uses,
    # and prints a banner to the output of the command that runs.
    solver = highs.Highs.__bases__[0]()
    for name, value in OPTIONS.items():
        solver.setOptionValue(name, value)
    solver.passModel(model)
    solver.run()
    status = solver.getModelStatus()
    if status in (highs.HighsModelStatus.kInfeasible, highs.HighsModelStatus.kUnboundedOrInfeasible):
        return None
    if status != highs.HighsModelStatus.kOptimal:
        raise Unproven(f"the solver stopped with {solver.modelStatusToString(status)}")
    return [round(value) for value in solver.getSolution().col_value]


OPTIONS = {
    "output_flag": False,
    "threads": 1,
    "mip_heuristic_run_feasibility_jump": False,  # takes longer than everything else on a shop's programs
    "mip_rel_gap": 0.0,
    "mip_abs_gap": 0.5,  # costs are whole numbers
    "mip_feasibility_tolerance": 1e-9,
    "primal_feasibility_tolerance": 1e-9,
    "dual_feasibility_tolerance": 1e-9,
}


def _loaded() -> tuple[Any, Any]:
    """The solver takes a third of a second to load, so it is loaded when first asked."""
    if not _modules:
        import highspy
        import numpy

        _modules.extend((highspy, numpy))
    return _modules[0], _modules[1]


def _impossible(row: tuple[int | None, int | None, Sequence[tuple[int, int]]]) -> bool:
    low, high, terms = row
    return not terms and ((low is not None and low > 0) or (high is not None and high < 0))


def _holds(row: tuple[int | None, int | None, Sequence[tuple[int, int]]], values: Sequence[int]) -> bool:
    low, high, terms = row
    got = sum(factor * values[column] for column, factor in terms)
    return (low is None or low <= got) and (high is None or got <= high)
