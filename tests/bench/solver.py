"""The peer: one budget of the same show as a whole model for HiGHS, default options, one thread."""

from itertools import accumulate

import highspy
import numpy as np

from campaign.planning import PlanRequest


def make_model(request: PlanRequest, *, money_minor: int) -> highspy.HighsLp:
    """Most worth under money, one option per work, and the length of the one wall."""
    options = [option for work in request.works for option in work.options]
    wall, gap_mm = request.walls[0], request.min_gap_mm
    count, works = len(options), len(request.works)
    model = highspy.HighsLp()
    model.num_col_, model.num_row_ = count, works + 2
    model.col_cost_ = np.array([-float(option.worth) for option in options])
    model.col_lower_, model.col_upper_ = np.zeros(count), np.ones(count)
    model.row_lower_ = np.full(works + 2, -highspy.kHighsInf)
    model.row_upper_ = np.array([1.0] * works + [float(money_minor), float(wall.width_mm - gap_mm)])
    model.integrality_ = [highspy.HighsVarType.kInteger] * count
    owners = [index for index, work in enumerate(request.works) for _ in work.options]
    entries = [
        (row, value)
        for owner, option in zip(owners, options, strict=True)
        for row, value in ((owner, 1.0), (works, option.cost_minor), (works + 1, option.width_mm + gap_mm))
    ]
    model.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    model.a_matrix_.start_ = np.array([0, *accumulate([3] * count)])
    model.a_matrix_.index_ = np.array([row for row, _ in entries])
    model.a_matrix_.value_ = np.array([float(value) for _, value in entries])
    return model


def load(model: highspy.HighsLp, *, exact: bool = False) -> highspy.Highs:
    """A solver with the model in it, ready to run; `exact` closes the last ten-thousandth of the gap."""
    solver = highspy.Highs()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    if exact:
        solver.setOptionValue("mip_rel_gap", 0.0)
    solver.passModel(model)
    return solver


def best_worth(request: PlanRequest, *, money_minor: int) -> int:
    """The proved optimum at one budget."""
    solver = load(make_model(request, money_minor=money_minor), exact=True)
    solver.run()
    if solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        raise RuntimeError(f"The solver ended with {solver.getModelStatus()}.")
    return -round(solver.getInfo().objective_function_value)
