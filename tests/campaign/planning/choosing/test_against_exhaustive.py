"""
The engine against every choice tried, on small shows under every rule by itself, under some and under all together.

Every comparison is of whole staircases, so of every budget. Each test counts the shows it has compared; together they
are more than 2,000.
"""

from dataclasses import replace
from random import Random

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from campaign.planning import build_staircase, plan_at, quick_staircase, verify_plan
from campaign.planning.verifying.verify_costs import least_cost_minor
from tests.campaign.planning.exhaustive import cheapest_by_trying, staircase_by_trying
from tests.small_shows import SWITCHES, reduced, small_show, small_supply

ALONE, SOME, ALL, CHANGED = 80, 420, 320, 30

seeds = st.integers(0, 2**48)
# A failing show is made smaller by taking things out of it, not by trying smaller seeds.
quiet = {"deadline": None, "database": None, "phases": [Phase.generate]}


def _figures(staircase):
    return [(step.money_minor, step.worth) for step in staircase.steps]


def _differences(request_):
    """What is wrong with the engine's answer, in words; empty when it is the one found by trying."""
    try:
        staircase = build_staircase(request_)
        expected = [(money, worth) for money, worth, _ in staircase_by_trying(request_)]
        if _figures(staircase) != expected:
            return f"the engine finds {_figures(staircase)}, trying finds {expected}"
        if not all(step.proved for step in staircase.steps):
            return "a step is not proved"
        for step in staircase.steps:
            plan = plan_at(request_, staircase, step.money_minor)
            if (plan.cost_minor, plan.worth) != (step.money_minor, step.worth):
                return f"the plan at {step.money_minor} costs {plan.cost_minor} and is worth {plan.worth}"
            if verify_plan(request_, plan):
                return " ".join(verify_plan(request_, plan))
    except Exception as error:  # a crash is a difference too, and is made small like any other
        return f"{type(error).__name__}: {error}"
    return ""


def _compare(on, *, examples):
    """Compare this many different shows under these rules (a set, or None for some of them)."""
    compared = set()

    @settings(max_examples=examples, **quiet)
    @given(seeds)
    def compare(seed):
        rules = on if on is not None else set(Random(seed).sample(SWITCHES, 3))
        request_ = small_show(seed, on=rules, most_works=4)
        if _differences(request_):
            smallest = reduced(request_, fails=lambda one: bool(_differences(one)))
            pytest.fail(f"{_differences(smallest)} for {smallest}")
        compared.add(seed)

    compare()
    assert len(compared) >= sure(examples)


def sure(examples):
    """Shows that are compared at least: now and then a seed may be drawn twice."""
    return examples * 98 // 100


@pytest.mark.parametrize("switch", SWITCHES)
def test_staircase_is_the_one_found_by_trying_under_one_rule(switch):
    _compare({switch}, examples=ALONE)


def test_staircase_is_the_one_found_by_trying_under_three_rules():
    _compare(None, examples=SOME)


def test_staircase_is_the_one_found_by_trying_under_all_rules():
    _compare(set(SWITCHES), examples=ALL)


def test_shows_compared_are_two_thousand():
    assert sure(ALONE) * len(SWITCHES) + sure(SOME) + sure(ALL) >= 2000


def _three_rules(seed, **changes):
    return small_show(seed, on=set(Random(seed).sample(SWITCHES, 3)), **changes)


@settings(max_examples=CHANGED, **quiet)
@given(seeds)
def test_quick_staircase_never_promises_too_much_nor_bounds_too_low(seed):
    request_ = _three_rules(seed)
    quick, exact = quick_staircase(request_), build_staircase(request_)
    for step in quick.steps:
        assert step.worth <= exact.at(step.money_minor).worth <= step.bound_worth
        assert verify_plan(request_, plan_at(request_, quick, step.money_minor)) == ()
    for step in exact.steps:
        assert step.worth <= quick.at(step.money_minor).bound_worth


def _never_worse(before, after):
    better, worse = build_staircase(after), build_staircase(before)
    for step in worse.steps:
        assert better.at(step.money_minor).worth >= step.worth, (before, after)


@settings(max_examples=CHANGED, **quiet)
@given(seeds)
def test_more_money_never_gives_a_worse_show(seed):
    steps = build_staircase(_three_rules(seed)).steps
    assert [step.worth for step in steps] == sorted({step.worth for step in steps})
    assert [step.money_minor for step in steps] == sorted({step.money_minor for step in steps})


@settings(max_examples=CHANGED, **quiet)
@given(seeds, st.sampled_from([60, 250, 1000]))
def test_more_wall_never_gives_a_worse_show(seed, more_mm):
    request_ = _three_rules(seed)
    longer = (replace(request_.walls[0], width_mm=request_.walls[0].width_mm + more_mm), *request_.walls[1:])
    _never_worse(request_, replace(request_, walls=longer))
    another = replace(request_.walls[0], code="w9", blocked=())
    _never_worse(request_, replace(request_, walls=(*request_.walls, another)))


@settings(max_examples=CHANGED, **quiet)
@given(seeds)
def test_more_time_never_gives_a_worse_show(seed):
    request_ = small_show(seed, on={"printer time", "lead days", "packs"})
    _never_worse(request_, replace(request_, printer_seconds=request_.printer_seconds + 70))
    days = None if request_.lead_days is None else request_.lead_days + 2
    _never_worse(request_, replace(request_, lead_days=days))


@settings(max_examples=CHANGED, **quiet)
@given(seeds)
def test_more_on_the_shelf_and_smaller_gaps_never_give_a_worse_show(seed):
    request_ = _three_rules(seed)
    fuller = tuple(replace(supply, shelf_micro=supply.shelf_micro + 200) for supply in request_.supplies)
    _never_worse(request_, replace(request_, supplies=fuller))
    _never_worse(request_, replace(request_, min_gap_mm=request_.min_gap_mm // 2))


@settings(max_examples=CHANGED, **quiet)
@given(seeds)
def test_order_of_the_input_changes_no_figure(seed):
    request_, chance = _three_rules(seed), Random(seed + 1)
    fields = ("works", "walls", "supplies", "finishes", "apart", "together")
    turned = replace(
        request_,
        **{field: tuple(chance.sample(getattr(request_, field), len(getattr(request_, field)))) for field in fields},
    )
    works = tuple(replace(work, options=tuple(chance.sample(work.options, len(work.options)))) for work in turned.works)
    assert _figures(build_staircase(replace(turned, works=works))) == _figures(build_staircase(request_))


@settings(max_examples=CHANGED, **quiet)
@given(seeds)
def test_other_codes_change_no_figure(seed):
    request_ = _three_rules(seed)
    assert _figures(build_staircase(_renamed(request_))) == _figures(build_staircase(request_))


def _renamed(request_):
    """The same show with every code turned round, so that codes sort differently."""
    turned = {"k0": "m9", "k1": "m3", "k2": "a5", "k3": "z1", "k4": "b2", "w0": "x7", "w1": "c4", "": ""}
    turned |= {"sea": "hills", "land": "air", "bare": "walnut", "board": "ash", "oak": "lime"}
    turned |= {"glass": "string", "moulding": "acrylic"}
    new = turned.__getitem__

    def option_of(option):
        needs = tuple(replace(need, supply_code=new(need.supply_code)) for need in option.needs)
        return replace(
            option, work_code=new(option.work_code), finish_code=new(option.finish_code), size_code="q", needs=needs
        )

    works = tuple(
        replace(
            work,
            code=new(work.code),
            series=new(work.series),
            pin=work.pin and replace(work.pin, wall_code=new(work.pin.wall_code)),
            options=tuple(option_of(option) for option in work.options),
        )
        for work in request_.works
    )
    return replace(
        request_,
        works=works,
        apart=tuple(tuple(new(code) for code in pair) for pair in request_.apart),
        together=tuple(tuple(new(code) for code in group) for group in request_.together),
        **{
            field: tuple(replace(one, code=new(one.code)) for one in getattr(request_, field))
            for field in ("walls", "supplies", "finishes")
        },
    )


@settings(max_examples=150, **quiet)
@given(seeds, st.integers(0, 2600), st.sampled_from([{"packs"}, {"price steps"}, {"price steps", "shelf"}, {"shelf"}]))
def test_verifier_buys_as_cheaply_as_trying_every_number_of_packs(seed, quantity, on):
    supply = small_supply(Random(seed), code="glass", on=on)
    assert least_cost_minor(supply, quantity) == cheapest_by_trying(supply, quantity)
